//! Base 32 of RFC 4648, without padding, written in lower case and read in either; spaces and line ends are passed
//! over, as a text copied from a message may hold them. It guesses no other character.

use data_encoding::{BASE32_NOPAD, BASE32_NOPAD_NOCASE};

/// These bytes as text.
pub(super) fn write(bytes: &[u8]) -> String {
    BASE32_NOPAD.encode(bytes).to_ascii_lowercase()
}

/// The bytes of a text, unless it holds another character or ends amid a byte.
pub(super) fn read(text: &str) -> Option<Vec<u8>> {
    let letters: Vec<u8> = text.bytes().filter(|byte| !byte.is_ascii_whitespace()).collect();
    BASE32_NOPAD_NOCASE.decode(&letters).ok()
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
