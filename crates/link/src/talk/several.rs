//! Several records over one connection: each side says which records it shares with the other, by tags that nobody else
//! can read, and what both name is talked about, each record in a conversation of its own ([`super::Talk`]). Pure: it
//! knows no record, holds no frame and reads no clock.
//!
//! A list replaces the one before, so a record joins or leaves while the connection stands. Each name in a list carries
//! a number that its side raises for a conversation from the beginning. The sum of both sides' numbers stands in every
//! frame: lists and frames come in order, so a frame of a conversation that is over is known by its number, and passed
//! over.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use super::event::Why;
use super::message::{Garbled, VERSION};
use super::wire::Bytes;
use crate::frame::FRAME_MAX;

/// What a record is called between two that share it.
pub type Tag = [u8; 16];

/// Most records that one side names.
pub const MOST_RECORDS: usize = 1_024;

/// Most conversations about one record over one connection: each further one follows the end of the one before.
pub const MOST_ANEW: u32 = 64;

/// Bytes of a name in a list: its tag and its number.
const NAME: usize = 20;

/// What stands in front of a frame. The place in the list is on the wire: the first one is where a greeting of any
/// version has its version.
#[derive(Serialize, Deserialize)]
enum Front {
    /// These records are shared by the sender.
    Shares { version: u16, names: Bytes },
    /// A message of the conversation about one of them; it follows.
    About { tag: Tag, number: u32 },
    /// The sender leaves: why, see [`Why::code`].
    Bye { why: u8 },
}

fn bytes_of(front: &Front) -> Vec<u8> {
    // Numbers and bytes: there is nothing in it that postcard could not write.
    postcard::to_allocvec(front).unwrap_or_default()
}

/// What a frame was.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FrameCame {
    /// The other says what it shares: what both name may be another.
    Listed,
    /// A message about a record that both name.
    About(Tag, Vec<u8>),
    /// Of a conversation that is over, or about a record that is not shared: nothing follows from it.
    Nothing,
}

/// What two sides talk about.
#[derive(Debug, Default)]
pub struct Several {
    /// What this side shares, with its numbers; none before the first list.
    mine: Option<BTreeMap<Tag, u32>>,
    /// The numbers of all that this side ever named.
    numbers: BTreeMap<Tag, u32>,
    /// What the other shares; none before its first list.
    theirs: Option<BTreeMap<Tag, u32>>,
    /// How often what is talked about of a record was another conversation than before.
    begun: BTreeMap<Tag, (u32, u32)>,
}

impl Several {
    /// This side shares these, and no others. The frame to send, where that is news; beyond [`MOST_RECORDS`] the rest
    /// waits for another day.
    pub fn share(&mut self, tags: &BTreeSet<Tag>) -> Option<Vec<u8>> {
        let was = self.mine.take();
        let mut mine = BTreeMap::new();
        for tag in tags.iter().take(MOST_RECORDS) {
            let stays = was.as_ref().and_then(|was| was.get(tag)).copied();
            let number = stays.unwrap_or_else(|| self.raised(tag));
            mine.insert(*tag, number);
        }
        let news = was.as_ref() != Some(&mine);
        self.mine = Some(mine);
        news.then(|| self.list())
    }

    /// The conversation about this record begins anew: the frame that says so, where it is shared.
    pub fn anew(&mut self, tag: &Tag) -> Option<Vec<u8>> {
        let number = self.raised(tag);
        *self.mine.as_mut()?.get_mut(tag)? = number;
        Some(self.list())
    }

    fn raised(&mut self, tag: &Tag) -> u32 {
        let number = self.numbers.entry(*tag).or_default();
        *number = number.saturating_add(1);
        *number
    }

    fn list(&self) -> Vec<u8> {
        let mut names = Vec::new();
        for (tag, number) in self.mine.iter().flatten() {
            names.extend(tag);
            names.extend(number.to_le_bytes());
        }
        bytes_of(&Front::Shares {
            version: VERSION,
            names: Bytes(names),
        })
    }

    /// Whether the other has said what it shares.
    #[must_use]
    pub fn is_greeted(&self) -> bool {
        self.theirs.is_some()
    }

    /// What both share, each with the number of its conversation.
    #[must_use]
    pub fn open(&self) -> BTreeMap<Tag, u32> {
        let mine = self.mine.iter().flatten();
        mine.filter_map(|(tag, _)| Some((*tag, self.number(tag)?)))
            .collect()
    }

    fn number(&self, tag: &Tag) -> Option<u32> {
        let mine = self.mine.as_ref()?.get(tag)?;
        let theirs = self.theirs.as_ref()?.get(tag)?;
        Some(mine.wrapping_add(*theirs))
    }

    /// A frame about a record that both share; none where they do not.
    #[must_use]
    pub fn about(&self, tag: &Tag, message: &[u8]) -> Option<Vec<u8>> {
        let number = self.number(tag)?;
        let mut frame = bytes_of(&Front::About { tag: *tag, number });
        frame.extend(message);
        Some(frame)
    }

    /// The last frame of a side that leaves for a reason.
    #[must_use]
    pub fn bye(why: &Why) -> Vec<u8> {
        bytes_of(&Front::Bye { why: why.code() })
    }

    /// A frame came.
    ///
    /// # Errors
    /// Why the connection ends: another version, what is no frame, a greeting that never came, or the other's own reason.
    pub fn got(&mut self, frame: &[u8]) -> Result<FrameCame, Why> {
        if self.theirs.is_none() {
            // Another version's greeting may go on in any way: nothing but its version is read.
            match super::Message::version_of(frame) {
                Some(version) if version < VERSION => return Err(Why::Older(version)),
                Some(version) if version > VERSION => return Err(Why::Newer(version)),
                _ => {}
            }
        }
        let unreadable = |garbled: Garbled| Why::Garbled(garbled.to_string());
        if frame.len() > FRAME_MAX {
            return Err(unreadable(Garbled::TooLong));
        }
        let (front, rest) = postcard::take_from_bytes(frame).map_err(|_| unreadable(Garbled::Unreadable))?;
        match front {
            Front::About { tag, number } => {
                if self.theirs.is_none() {
                    return Err(garbled("it does not greet"));
                }
                if self.number(&tag) == Some(number) {
                    return Ok(FrameCame::About(tag, rest.to_vec()));
                }
                Ok(FrameCame::Nothing)
            }
            _ if !rest.is_empty() => Err(unreadable(Garbled::Trailing)),
            Front::Bye { why } => Err(Why::told(why)),
            Front::Shares { version, names } => {
                if version != VERSION {
                    return Err(garbled("it changes its version"));
                }
                self.theirs = Some(names_of(&names.0)?);
                for (tag, number) in self.open() {
                    let (last, times) = self.begun.entry(tag).or_default();
                    if *last != number {
                        *last = number;
                        *times = times.saturating_add(1);
                    }
                    if *times > MOST_ANEW {
                        return Err(garbled("it begins anew again and again"));
                    }
                }
                Ok(FrameCame::Listed)
            }
        }
    }
}

fn names_of(bytes: &[u8]) -> Result<BTreeMap<Tag, u32>, Why> {
    let (names, rest) = bytes.as_chunks::<NAME>();
    if !rest.is_empty() || names.len() > MOST_RECORDS {
        return Err(garbled("it shares more than it may, or half a record"));
    }
    let mut all = BTreeMap::new();
    for name in names {
        let (Some(tag), Some(number)) = (name.first_chunk(), name.last_chunk()) else {
            continue;
        };
        if all.insert(*tag, u32::from_le_bytes(*number)).is_some() {
            return Err(garbled("it names one record twice"));
        }
    }
    Ok(all)
}

fn garbled(what: &str) -> Why {
    Why::Garbled(what.to_owned())
}
