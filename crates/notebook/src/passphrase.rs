//! Passphrases for files that may be lost: six words proposed, and how long one that was typed would stand against
//! guessing. It keeps none of them.

use bip39::Language;
use zeroize::Zeroizing;

use crate::refusal::Refusal;

/// How many words are proposed: 6 × 11 bits.
const WORDS: usize = 6;
/// Bits of a word: the list has 2,048 (BIP-39, English), the one that age's own program proposes words of.
const BITS: usize = 11;
/// The least that is taken: 2^40 guesses at half a second each (see [`link::seal::WORK`]) are 17,000 years of one machine, and
/// some days of a rich attacker's thousands. (Which number is enough is common practice, no source.)
const LEAST: f64 = 40.0;
/// The most characters.
const LONGEST: usize = 1_000;
/// The most characters that are judged: what comes after makes it only better.
const JUDGED: usize = 100;

/// Six words out of 128 random bits, the first 66 of them.
pub(crate) fn proposed(random: [u8; 16]) -> Zeroizing<String> {
    let random = Zeroizing::new(u128::from_be_bytes(random));
    let list = Language::English.word_list();
    let mut words = Zeroizing::new(String::with_capacity(WORDS * 9));
    for place in 1..=WORDS {
        let index = *random >> (128 - place * BITS) & ((1 << BITS) - 1);
        let word = usize::try_from(index).ok().and_then(|index| list.get(index));
        if place > 1 {
            words.push(' ');
        }
        words.push_str(word.copied().unwrap_or_default());
    }
    words
}

/// A passphrase as it is sealed to and opened by: what is said by voice has no number of spaces.
pub(crate) fn plain(typed: &str) -> Zeroizing<String> {
    let mut plain = Zeroizing::new(String::with_capacity(typed.len()));
    for word in typed.split_whitespace() {
        if !plain.is_empty() {
            plain.push(' ');
        }
        plain.push_str(word);
    }
    plain
}

/// How many bits of guessing a passphrase stands for, as zxcvbn estimates it; what an attacker knows of the record (its
/// car, its keepers) counts for nothing.
pub(crate) fn bits(passphrase: &str, known: &[&str]) -> f64 {
    let judged: Zeroizing<String> = Zeroizing::new(passphrase.chars().take(JUDGED).collect());
    // Nothing at all has a logarithm of no use.
    (zxcvbn::zxcvbn(&judged, known).guesses_log10() * std::f64::consts::LOG2_10).max(0.0)
}

/// Whether a passphrase may seal a file.
///
/// # Errors
/// Where it is too long, or would be guessed too soon.
pub(crate) fn good(passphrase: &str, known: &[&str]) -> Result<(), Refusal> {
    if passphrase.chars().count() > LONGEST {
        let words = format!("a passphrase has at most {LONGEST} characters");
        return Err(Refusal::input("passphrase", words));
    }
    if passphrase.is_empty() {
        let words = "a passphrase of nothing seals nothing: take six words as they are proposed";
        return Err(Refusal::input("passphrase", words));
    }
    let found = bits(passphrase, known);
    if found >= LEAST {
        return Ok(());
    }
    Err(Refusal::input(
        "passphrase",
        format!(
            "this passphrase would be guessed if the file is lost: take six words as they are proposed, or add some of your own ({found:.0} bits, and {LEAST:.0} are wanted)"
        ),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn six_words_of_the_list_and_every_bit_counts() {
        // BIP-39's English list begins with `abandon` and ends with `zoo`.
        assert_eq!(
            *proposed([0; 16]),
            "abandon abandon abandon abandon abandon abandon"
        );
        assert_eq!(*proposed([255; 16]), "zoo zoo zoo zoo zoo zoo");
        for bit in 0..66 {
            let number = 1_u128 << (127 - bit);
            assert_ne!(proposed(number.to_be_bytes()), proposed([0; 16]), "bit {bit}");
        }
        let mut all = Language::English.word_list().to_vec();
        all.dedup();
        assert_eq!(all.len(), 1 << BITS);
    }

    #[test]
    fn spaces_do_not_matter_and_nothing_has_no_bits() {
        assert_eq!(*plain("  six \t of\u{a0}them\n"), "six of them");
        assert_eq!(*plain("Six Of"), "Six Of");
        assert!((0.0..1.0).contains(&bits("", &[])));
        let refusal = good("", &[]).unwrap_err();
        assert!(!refusal.words.contains("bits"), "{}", refusal.words);
    }

    #[test]
    fn what_is_proposed_is_good_and_what_people_type_often_is_not() {
        for seed in 0..200_u32 {
            let hash = blake3::hash(&seed.to_le_bytes());
            let words = proposed(*hash.as_bytes().first_chunk().unwrap());
            good(&words, &[]).unwrap();
        }
        for weak in [
            "",
            "tern",
            "password1234",
            "qwertyuiop",
            "aaaaaaaaaaaaaaaaaaaaaaaa",
            "2031-03-01",
            "Tern Rosalind",
        ] {
            let refusal = good(weak, &["Tern", "Rosalind"]).unwrap_err();
            assert_eq!(refusal.code, "passphrase", "{weak}");
        }
        // The same letters, where nobody knows the names.
        assert!(bits("Tern Rosalind", &["Tern", "Rosalind"]) < bits("Tern Rosalind", &[]));
        assert!(good(&"x y".repeat(400), &[]).is_err());
    }
}
