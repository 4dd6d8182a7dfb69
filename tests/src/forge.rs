//! Files made by hand.

use record::ChangeId;

/// The bytes of a change's hash.
#[must_use]
pub fn hash_of(id: &ChangeId) -> [u8; 32] {
    let mut out = [0; 32];
    for (at, slot) in out.iter_mut().enumerate() {
        *slot = u8::from_str_radix(&id.as_str()[at * 2..at * 2 + 2], 16).unwrap();
    }
    out
}
