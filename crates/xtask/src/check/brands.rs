//! No brand and no maker stands anywhere in the house: words are the trade's, data is invented.
//!
//! The names are kept as numbers (FNV-1a of the word in small letters), so that the list itself names none. It knows only names that are
//! no word of the trade or of the language; what is both, a reader has to see.

use super::Fault;
use crate::walk::Page;

/// Names that were looked for, each as its number.
const BRANDS: [u64; 135] = [
    0x0450_c1a2_874b_81f6,
    0x063f_8aab_50af_21b0,
    0x06a0_d92b_263c_3eb2,
    0x079b_c01a_45e6_a597,
    0x07a7_d477_9da2_d21d,
    0x07c7_3615_bf5f_12f8,
    0x0989_3b18_bf9f_f13e,
    0x0aa2_1bf1_075b_0ac6,
    0x0e9f_2620_495b_e133,
    0x104e_24d1_ba0b_a9d2,
    0x1266_124f_5010_f83c,
    0x1284_f8e3_bf08_1ba2,
    0x12ad_9b12_247d_13d0,
    0x13f0_6198_e0c6_2493,
    0x146c_8346_8e0d_051f,
    0x164b_1829_059a_c22c,
    0x18bb_8578_77f3_6199,
    0x1c92_9270_af33_3175,
    0x1d54_1e0b_0ee5_edbe,
    0x1dbc_14b5_3531_98f2,
    0x1e17_73b8_4d4d_398f,
    0x1f64_3244_2e0a_f362,
    0x2086_5156_7d1b_a76d,
    0x21b1_c4eb_c4fa_7ae7,
    0x21f0_321c_b4d5_442a,
    0x2642_8793_ffd4_c6ed,
    0x2a29_a857_aaa3_3539,
    0x2a6c_6cbf_78f7_d99c,
    0x2b30_6ebe_876f_ba17,
    0x2b80_5cb4_6678_c0fc,
    0x2dc5_ac09_a3cf_eb17,
    0x3009_deef_38c3_036e,
    0x33e6_2d7e_8c12_826b,
    0x33e7_4fe5_6013_cc4c,
    0x34a8_73b2_88ae_e4dc,
    0x35e5_4993_0381_e718,
    0x3c44_b4e4_ff07_5fd8,
    0x3d5d_17ac_2931_c229,
    0x3e1f_9a8c_6718_8de8,
    0x3e64_d661_12b2_a03c,
    0x3e86_5f6f_9843_7880,
    0x4045_29a0_4f2b_407c,
    0x40ae_4dba_2f5c_2dc3,
    0x41a2_3e69_ea1f_0acd,
    0x46f0_f7be_2745_737e,
    0x47f8_0033_3cf2_d5a1,
    0x49e6_5bb5_28de_5f61,
    0x4c38_a2a4_bb16_dd3c,
    0x4cff_64d8_a3a6_a71d,
    0x4f19_af19_88b2_d682,
    0x4f8e_8cc5_af95_7f28,
    0x51c0_4075_ebd7_5d8c,
    0x5255_2612_d476_abd2,
    0x52b1_8d91_6132_cea2,
    0x538e_33ec_3997_c975,
    0x58f5_38f3_4fd4_67fd,
    0x5e60_d167_a596_897d,
    0x5ff2_0f79_b0aa_ae3c,
    0x6191_6e7f_fbda_d3c2,
    0x65dd_ab4f_cf84_0e56,
    0x67d9_03bb_efcc_aaf9,
    0x69b4_3aee_6d47_2020,
    0x6ae5_c705_91c9_b2c9,
    0x6bef_fe51_6486_8804,
    0x721f_b04f_202d_7c65,
    0x73b3_f2a3_9cf3_91f3,
    0x752d_db18_7648_3d86,
    0x783c_eaca_3e82_5214,
    0x7a8a_cf9b_e8f8_750e,
    0x7e02_7587_ea49_3354,
    0x7eeb_0a75_4f0e_b35b,
    0x8027_fce2_98c9_12f9,
    0x8235_5fda_8d39_a549,
    0x8358_5c7a_db38_4719,
    0x844d_d89d_61e4_7db1,
    0x88d1_1293_91b5_38a3,
    0x89de_79c4_2f90_8176,
    0x8a7f_7d57_3f80_c301,
    0x8e4f_506d_52d3_c836,
    0x8ff4_47b9_e51c_2c9a,
    0x9404_8566_66bf_b656,
    0x95f7_3d22_ab95_0dbd,
    0x983d_bc71_5176_9d5d,
    0x9949_70b4_8457_dc05,
    0x997b_49a5_2eea_ad4d,
    0x9a4a_9f8c_1698_d4e4,
    0x9c5f_9782_9851_a691,
    0xa430_d646_80aa_b9a5,
    0xa7d5_8f89_aee4_228d,
    0xa859_5607_0ad3_983b,
    0xa8f9_a805_2aee_e205,
    0xaaab_0678_f00b_3b35,
    0xabc9_5768_3cd7_7ee7,
    0xae5c_e791_a311_0d05,
    0xae6f_aa71_17ed_0074,
    0xb0c8_df88_3f5c_3cf2,
    0xb10c_9966_2efb_ff3f,
    0xb2fe_4c41_f716_729b,
    0xb352_d4de_21f9_8af3,
    0xb50a_101a_883f_6f31,
    0xb7e3_0bc5_0920_dcec,
    0xb9ac_53ba_abef_1bda,
    0xc075_1dbb_a4d1_07e6,
    0xc0c0_6abe_a574_89db,
    0xc4a4_3b98_43a7_a0ca,
    0xc5e9_9ac4_5a06_a294,
    0xc6dc_6564_c5b3_07ba,
    0xc9d2_487a_e254_636e,
    0xc9da_f4f9_4e23_8d50,
    0xcd1e_c99b_c6a1_8ed9,
    0xcdb3_510c_ee3f_7e0f,
    0xcde9_aea1_3314_2eb7,
    0xd120_3e57_02b6_2eb9,
    0xd23f_0b58_4aef_52e3,
    0xd41a_dce4_ee61_7255,
    0xd505_73ac_8c25_b7f2,
    0xd557_9793_2f46_8d13,
    0xd981_c026_75a5_fa84,
    0xd9c9_c153_3f74_c703,
    0xdb3f_1cb7_a090_7a8e,
    0xdbe9_1e8c_6292_7095,
    0xdce1_4691_b3a2_11e8,
    0xdd1d_0679_0c2f_0c9c,
    0xde0c_254d_d48d_5ffb,
    0xde7c_d200_ef5f_7cc1,
    0xdee1_88d2_7109_bbef,
    0xe28f_a5a6_8382_1a41,
    0xe72e_94a5_1296_daee,
    0xee9d_8929_f6a3_a757,
    0xef44_76a6_a3f5_7e76,
    0xeffc_1dc1_6254_9515,
    0xf6c2_1336_8f66_a35e,
    0xf84f_95b4_6336_6d83,
    0xfc03_867c_33f1_0d0f,
    0xfc44_05a0_372a_291e,
];

/// Words that are a brand, with their line. Lock files name what others wrote.
pub(crate) fn faults(pages: &[Page]) -> Vec<Fault> {
    let own = pages
        .iter()
        .filter(|page| page.ending() != "lock" && page.file_name() != "package-lock.json");
    own.flat_map(|page| found(page, &BRANDS)).collect()
}

fn found(page: &Page, brands: &[u64]) -> Vec<Fault> {
    let lines = page.text.lines().enumerate();
    lines
        .filter(|(_, line)| {
            line.split(|letter: char| !letter.is_alphanumeric())
                .filter(|word| word.len() > 3)
                .any(|word| brands.binary_search(&number(word)).is_ok())
        })
        .map(|(at, _)| Fault::new(format!("{}:{}", page.name, at + 1), "names a brand or a maker"))
        .collect()
}

/// FNV-1a, 64 bits (Fowler, Noll and Vo), of a word in small letters.
fn number(word: &str) -> u64 {
    let letters = word.chars().flat_map(char::to_lowercase);
    let mut bytes = [0; 4];
    letters.fold(0xcbf2_9ce4_8422_2325, |all, letter| {
        letter.encode_utf8(&mut bytes).bytes().fold(all, |all, byte| {
            (all ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source of the value: the authors' own test vectors, FNV-1a of `foobar`.
    #[test]
    fn a_brand_is_told_and_nothing_else() {
        assert_eq!(number("FooBar"), 0x8594_4171_f739_67e8);
        let page = Page::new(
            "a.rs",
            "\"distributor\" \"Foobar\" =>\nfoobars, foo bar\nsee foobar-7",
        );
        let places: Vec<String> = found(&page, &[number("foobar")])
            .into_iter()
            .map(|fault| fault.place)
            .collect();
        assert_eq!(places, ["a.rs:1", "a.rs:3"]);
        assert!(BRANDS.is_sorted());
        assert_eq!(faults(&[Page::new("Cargo.lock", "foobar")]), []);
    }
}
