//! How a name is shown: without letters that cannot be seen and without those that turn the line round, so that two names
//! that look alike are alike, and none rewrites what stands beside it. What is kept stays as it was spelled.

/// Whether a letter has no shape of its own, or only turns others round.
///
/// The explicit directional formatting characters of Unicode Standard Annex 9 (section 2), and what is listed as
/// `Default_Ignorable_Code_Point` in `DerivedCoreProperties.txt`, but for the two joiners and the variation selectors:
/// whether those are seen depends on their neighbours, see [`shown`].
const fn unseen(letter: char) -> bool {
    matches!(letter,
        '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}'..='\u{1160}' | '\u{17b4}'..='\u{17b5}' | '\u{180b}'..='\u{180f}'
        | '\u{200b}' | '\u{200e}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{3164}'
        | '\u{feff}' | '\u{ffa0}' | '\u{fff0}'..='\u{fffb}' | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}'
        | '\u{e0000}'..='\u{e0fff}')
}

/// Joiners and variation selectors: letters of some scripts and parts of some pictures are written with them.
const fn joins(letter: char) -> bool {
    matches!(letter, '\u{200c}'..='\u{200d}' | '\u{fe00}'..='\u{fe0f}')
}

/// Whether a letter stands in a script, or is a picture, that joiners mean something beside: none does below Arabic's block,
/// and between Latin, Greek or Cyrillic letters nobody would see them.
const fn joinable(letter: char) -> bool {
    letter >= '\u{600}' && !unseen(letter) && !joins(letter)
}

/// A name as it is shown: without what cannot be seen, steers a terminal or turns a line round. What is kept stays as it was typed.
///
/// ```
/// assert_eq!(record::shown("  left\tfront\u{202e} hub\u{1b}[31m "), "left front hub[31m");
/// ```
#[must_use]
pub fn shown(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    // A control character would steer a terminal; a line break or a tabulator stands for a space.
    let spaced = |letter: char| match letter {
        '\n' | '\r' | '\t' => ' ',
        other => other,
    };
    let mut letters = text
        .chars()
        .map(spaced)
        .filter(|letter| !unseen(*letter) && !letter.is_control())
        .peekable();
    while let Some(letter) = letters.next() {
        if joins(letter) && !out.chars().next_back().is_some_and(joinable) {
            continue;
        }
        // A zero-width joiner with nothing after it joins nothing.
        if matches!(letter, '\u{200c}'..='\u{200d}') && !letters.peek().copied().is_some_and(joinable) {
            continue;
        }
        out.push(letter);
    }
    out.trim().to_owned()
}

/// Whether a text says anything: a full stop is no reason.
#[must_use]
pub(crate) fn says_something(text: &str) -> bool {
    shown(text).chars().any(char::is_alphanumeric)
}

/// The text of a field as a name is shown; empty where there is none.
#[must_use]
pub fn called(text: Option<&str>) -> String {
    text.map(shown).unwrap_or_default()
}

/// Text of several lines as it may be printed: nothing in it steers a terminal or turns a line round.
#[must_use]
pub fn printable(text: &str) -> String {
    let turns = |letter: char| matches!(letter, '\u{200e}'..='\u{200f}' | '\u{61c}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let steers = |letter: char| letter.is_control() && !matches!(letter, '\n' | '\t');
    text.chars()
        .filter(|letter| !turns(*letter) && !steers(*letter))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{printable, shown};

    #[test]
    fn what_is_printed_steers_no_terminal() {
        assert_eq!(
            printable("two\nlines\t\u{1b}]0;x\u{7} and \u{202e}more\u{9b}2J"),
            "two\nlines\t]0;x and more2J"
        );
    }

    #[test]
    fn what_cannot_be_seen_or_turns_the_line_is_not_shown() {
        let check = |kept: &str, expected: &str| assert_eq!(shown(kept), expected, "{kept:?}");
        check("Nell Ashdown", "Nell Ashdown");
        check("  Nell ", "Nell");
        // An override would show 'phone' as 'enohp' and turn round what follows (UAX 9).
        check("\u{202e}phone\u{202c}", "phone");
        check("\u{2067}Jonna\u{2069}", "Jonna");
        check("Nell\u{200b} Ash\u{ad}down\u{feff}", "Nell Ashdown");
        check("Ne\u{200d}ll", "Nell");
        check("Nell\u{1b}[2J\u{7}\u{9b}31m", "Nell[2J31m");
        check("Nell\nAshdown\t", "Nell Ashdown");
        check("\u{200b}\u{2060}", "");
        check("a\u{e0041}b", "ab");
        // Accents that follow their letter are seen, and stay.
        check("Zoe\u{308}", "Zoe\u{308}");
        // A Persian name needs its non-joiner, a family its joiners and its picture selector (Unicode 16, chapters 9.2 and 23.2).
        check("\u{645}\u{6cc}\u{200c}\u{631}", "\u{645}\u{6cc}\u{200c}\u{631}");
        check("\u{1f469}\u{200d}\u{1f527}", "\u{1f469}\u{200d}\u{1f527}");
        check("\u{2699}\u{fe0f} box", "\u{2699}\u{fe0f} box");
        check("\u{1f527}\u{200d}", "\u{1f527}");
    }
}
