//! Whose a device is, as a sentence says it.

/// Whose device it is, in words: the keeper's name and the device's, or the device's alone where it says whose it is.
pub fn whose(keeper: &str, device: &str) -> String {
    let first = keeper.split_whitespace().next().unwrap_or_default();
    if device.to_lowercase().contains(&first.to_lowercase()) {
        return device.to_owned();
    }
    format!("{keeper}'s {device}")
}

#[cfg(test)]
mod tests {
    use super::whose;

    #[test]
    fn nobody_is_named_twice() {
        let check = |keeper: &str, device: &str, expected: &str| assert_eq!(whose(keeper, device), expected);
        check("Jonna Ashdown", "phone", "Jonna Ashdown's phone");
        check("Nell Ashdown", "Nell's phone", "Nell's phone");
        check("Nell Ashdown", "nell on the bench", "nell on the bench");
        check("", "phone", "phone");
    }
}
