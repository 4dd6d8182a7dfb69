//! Base 32 of RFC 4648, without padding, written in lower case and read in either; spaces and line ends are passed
//! over, as a text copied from a message may hold them. It guesses no other character.

const LETTERS: &[u8; 32] = b"abcdefghijklmnopqrstuvwxyz234567";

/// These bytes as text.
pub(super) fn write(bytes: &[u8]) -> String {
    let mut text = String::new();
    for five in bytes.chunks(5) {
        let mut group = [0_u8; 8];
        for (place, byte) in five.iter().enumerate() {
            if let Some(slot) = group.get_mut(place + 3) {
                *slot = *byte;
            }
        }
        let held = u64::from_be_bytes(group);
        let letters = (five.len() * 8).div_ceil(5);
        for place in 0..letters {
            let value = held >> (35 - 5 * place) & 31;
            let letter = usize::try_from(value).ok().and_then(|value| LETTERS.get(value));
            text.extend(letter.map(|letter| char::from(*letter)));
        }
    }
    text
}

/// The bytes of a text, unless it holds another character or ends amid a byte.
pub(super) fn read(text: &str) -> Option<Vec<u8>> {
    let (mut bytes, mut held, mut bits) = (Vec::new(), 0_u32, 0);
    for letter in text.bytes().filter(|byte| !byte.is_ascii_whitespace()) {
        let lower = letter.to_ascii_lowercase();
        let value = LETTERS.iter().position(|known| *known == lower)?;
        held = (held << 5 | u32::try_from(value).ok()?) & 0xffff;
        bits += 5;
        if bits >= 8 {
            bits -= 8;
            bytes.push((held >> bits & 0xff) as u8);
        }
    }
    (bits < 5 && held & ((1 << bits) - 1) == 0).then_some(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4648, section 10.
    #[test]
    fn the_standards_own_vectors() {
        let check = |bytes: &str, text: &str| {
            assert_eq!(write(bytes.as_bytes()), text.to_lowercase());
            assert_eq!(read(text).unwrap(), bytes.as_bytes());
        };
        check("", "");
        check("f", "MY");
        check("fo", "MZXQ");
        check("foo", "MZXW6");
        check("foob", "MZXW6YQ");
        check("fooba", "MZXW6YTB");
        check("foobar", "MZXW6YTBOI");
    }

    #[test]
    fn what_is_no_base_32_is_refused() {
        assert!(read("m0").is_none() && read("m").is_none() && read("mz").is_none());
        assert_eq!(read(" mzxw\n6 ").unwrap(), b"foo");
    }
}
