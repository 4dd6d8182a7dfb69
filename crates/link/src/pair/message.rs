//! The frames of a pairing: one byte that says which, then fields of fixed length, the introduction last. A frame
//! that is longer or shorter than it may be is nonsense; nothing is allocated by what a frame declares.

use super::MOST_INTRODUCTION;

/// What one side says to the other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Message {
    /// Guest: I hold the secret: the ticket's, or the one that the spoken code gave.
    Claim([u8; 32]),
    /// Host: my number is committed to.
    Commit([u8; 32]),
    /// Guest: my number, and who I am.
    Mine([u8; 32], Vec<u8>),
    /// Host: my number, and who I am.
    Reveal([u8; 32], Vec<u8>),
    /// Either: my keeper says that the digits are the same.
    Same,
    /// Either: my keeper says that they differ.
    Different,
    /// Guest: its half of SPAKE2.
    Speak(Vec<u8>),
    /// Host: its half of SPAKE2.
    Answer(Vec<u8>),
    /// Host: the secret is wrong.
    Wrong,
}

/// A SPAKE2 message over edwards25519 has a byte for the side and 32 for the point.
const HALF: usize = 33;

impl Message {
    pub(super) fn written(&self) -> Vec<u8> {
        let (tag, fixed, rest): (u8, &[u8], &[u8]) = match self {
            Self::Claim(proof) => (1, proof, &[]),
            Self::Commit(commitment) => (2, commitment, &[]),
            Self::Mine(number, rest) => (3, number, rest),
            Self::Reveal(number, rest) => (4, number, rest),
            Self::Same => (5, &[], &[]),
            Self::Different => (6, &[], &[]),
            Self::Speak(half) => (7, half, &[]),
            Self::Answer(half) => (8, half, &[]),
            Self::Wrong => (9, &[], &[]),
        };
        let mut bytes = vec![tag];
        bytes.extend(fixed);
        bytes.extend(rest);
        bytes
    }

    pub(super) fn read(bytes: &[u8]) -> Option<Self> {
        let (tag, body) = bytes.split_first()?;
        let whole = || <[u8; 32]>::try_from(body).ok();
        let told = || {
            let (fixed, rest) = body.split_first_chunk::<32>()?;
            (rest.len() <= MOST_INTRODUCTION).then(|| (*fixed, rest.to_vec()))
        };
        let half = || (body.len() == HALF).then(|| body.to_vec());
        let bare = |message: Self| body.is_empty().then_some(message);
        match tag {
            1 => whole().map(Self::Claim),
            2 => whole().map(Self::Commit),
            3 => told().map(|(number, rest)| Self::Mine(number, rest)),
            4 => told().map(|(number, rest)| Self::Reveal(number, rest)),
            5 => bare(Self::Same),
            6 => bare(Self::Different),
            7 => half().map(Self::Speak),
            8 => half().map(Self::Answer),
            9 => bare(Self::Wrong),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_comes_back_and_nothing_else_is_read() {
        let all = [
            Message::Claim([1; 32]),
            Message::Commit([2; 32]),
            Message::Mine([3; 32], b"nell".to_vec()),
            Message::Reveal([4; 32], vec![]),
            Message::Same,
            Message::Different,
            Message::Speak(vec![7; 33]),
            Message::Answer(vec![8; 33]),
            Message::Reveal([9; 32], vec![1; MOST_INTRODUCTION]),
            Message::Wrong,
        ];
        for message in all {
            let bytes = message.written();
            assert_eq!(Message::read(&bytes), Some(message.clone()));
            if !matches!(message, Message::Mine(..) | Message::Reveal(..)) {
                assert_eq!(Message::read(&[&bytes[..], &[0]].concat()), None, "{message:?}");
            }
        }
        assert_eq!(Message::read(&[]), None);
        assert_eq!(Message::read(&[0]), None);
        assert_eq!(Message::read(&[1; 20]), None);
        assert_eq!(Message::read(&[3; 33 + MOST_INTRODUCTION + 1]), None);
    }
}
