//! The gate before Automerge: chunks from outside are measured, inflated under a budget and hashed here, before
//! Automerge sees a byte. Automerge inflates first and checks afterwards, and its run-length columns let forty
//! bytes claim a billion operations; both are counted here without unfolding anything.
//!
//! It follows the published binary format of Automerge documents (chunk header, change chunk, column types).
//! It never repairs: a byte out of place refuses the whole.

use std::io::Read;

use flate2::read::DeflateDecoder;
use sha2::{Digest, Sha256};

use super::bad::BadRecord;
use crate::hash::ChangeId;

/// First four bytes of every chunk.
const MAGIC: [u8; 4] = [0x85, 0x6f, 0x4a, 0x83];
const CHANGE: u8 = 1;
const COMPRESSED: u8 = 2;
/// The column of actions, the actions that make a map, a list, a text or a table, and the one that deletes.
const ACTIONS: u64 = 0x42;
const MAKE: [u64; 4] = [0, 2, 4, 6];
const DELETE: u64 = 3;
/// The type of columns that hold actors.
const ACTOR: u64 = 1;
/// Most bytes of one change, inflated. The longest prose that a field takes, typed at once, is under a tenth.
const MOST_CHANGE_BYTES: usize = 4 << 20;
/// Most bytes of all changes together, inflated: four times a ten-year record's. A carry file takes as many.
const MOST_BYTES: u64 = 48 << 20;
/// Bytes that changes may inflate to, whatever their size: one of the largest.
const FREE_BYTES: u64 = MOST_CHANGE_BYTES as u64;
/// Bytes for each packed byte beyond that. Text packs to a third; only a trap packs a thousand to one.
const SWELL: u64 = 32;
/// Rows that a change may have, whatever its size: taking a text out folds into a few bytes, and no more is taken
/// out at once (`lines`).
pub(super) const FREE_ROWS: u64 = 1 << 16;
/// Rows for each packed byte beyond that: an inserted letter takes at least one byte.
/// Measured: with four, a file of 260 KB could cost 73 MB of memory.
const ROWS_A_BYTE: u64 = 2;
/// Maps and texts that changes may make, whatever their size.
const FREE_OBJECTS: u64 = 1 << 10;
/// Packed bytes for each beyond that. Every entry and every sheet of ours has a name of its own, of 36 bytes or more;
/// unfolded, each costs as much as a dozen letters.
const BYTES_AN_OBJECT: u64 = 8;

/// What changes unfold to.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Unfolded {
    /// Bytes as they came.
    packed: u64,
    /// Bytes inflated.
    bytes: u64,
    /// Operations.
    rows: u64,
    /// Of those, deletions.
    deletions: u64,
    /// And maps, lists and texts made.
    objects: u64,
}

/// A change that passed the gate.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Chunk {
    /// Its hash, computed here.
    pub id: ChangeId,
    /// What it builds on.
    pub deps: Vec<ChangeId>,
    /// The change, uncompressed.
    pub bytes: Vec<u8>,
}

/// Opens chunks from outside; each slice may hold several chunks one after the other.
///
/// # Errors
/// When any is damaged or they unfold beyond the budgets.
pub fn open_chunks(slices: &[Vec<u8>]) -> Result<Vec<Chunk>, BadRecord> {
    open_weighed(slices).map(|(chunks, _)| chunks)
}

/// The same, and what they unfold to together.
pub(super) fn open_weighed(slices: &[Vec<u8>]) -> Result<(Vec<Chunk>, Unfolded), BadRecord> {
    let mut chunks = Vec::new();
    let mut all = Unfolded::default();
    for slice in slices {
        let mut rest = slice.as_slice();
        while !rest.is_empty() {
            let (chunk, columns, after) = split(rest)?;
            let packed = rest.len().saturating_sub(after.len()) as u64;
            rest = after;
            Unfolded { packed, ..columns }.within_its_own()?;
            all.packed = all.packed.saturating_add(packed);
            all.bytes = all.bytes.saturating_add(chunk.bytes.len() as u64);
            all.rows = all.rows.saturating_add(columns.rows);
            all.deletions = all.deletions.saturating_add(columns.deletions);
            all.objects = all.objects.saturating_add(columns.objects);
            all.within_budget()?;
            chunks.push(chunk);
        }
    }
    Ok((chunks, all))
}

impl Unfolded {
    /// What one change may do: what an honest writer made within the limit is taken in by everybody, whatever else comes
    /// with it.
    fn within_its_own(&self) -> Result<(), BadRecord> {
        if self.rows > self.most_rows() {
            return Err(BadRecord::OverBudget(format!(
                "{ROWS_A_BYTE} operations for each byte of a change"
            )));
        }
        Ok(())
    }

    /// What all of them may do together. Deletions are a change's own: what is taken out was put in before, byte by byte,
    /// and how often a letter is taken out is looked at where it is known (`gate`).
    fn within_budget(&self) -> Result<(), BadRecord> {
        let over = |what: String| Err(BadRecord::OverBudget(what));
        if self.bytes > MOST_BYTES {
            return over(format!("{MOST_BYTES} bytes"));
        }
        if self.bytes > FREE_BYTES.saturating_add(SWELL.saturating_mul(self.packed)) {
            return over(format!("{SWELL} bytes for each packed one"));
        }
        if self.rows.saturating_sub(self.deletions) > self.most_rows() {
            return over(format!("{ROWS_A_BYTE} operations for each byte"));
        }
        if self.objects > FREE_OBJECTS.saturating_add(self.packed / BYTES_AN_OBJECT) {
            return over(format!("one map or text for each {BYTES_AN_OBJECT} bytes"));
        }
        Ok(())
    }

    fn most_rows(&self) -> u64 {
        FREE_ROWS.saturating_add(ROWS_A_BYTE.saturating_mul(self.packed))
    }

    /// How often letters that are out already may be taken out once more; nothing where there is no need to look.
    pub(super) fn repeats(&self) -> Option<u64> {
        let others = self.rows.saturating_sub(self.deletions);
        (self.rows > self.most_rows()).then(|| self.most_rows().saturating_sub(others))
    }
}

/// Reads one chunk that stands alone.
pub(super) fn read_chunk(bytes: &[u8]) -> Result<Chunk, BadRecord> {
    let (chunk, _, rest) = split(bytes)?;
    if rest.is_empty() {
        Ok(chunk)
    } else {
        Err(damaged("bytes after its end"))
    }
}

fn damaged(what: &str) -> BadRecord {
    BadRecord::Damaged(what.to_owned())
}

fn split(bytes: &[u8]) -> Result<(Chunk, Unfolded, &[u8]), BadRecord> {
    let mut input = Input(bytes);
    if input.take(4)? != MAGIC {
        return Err(damaged("it does not begin like a change"));
    }
    let checksum = input.take(4)?;
    let kind = input.byte()?;
    let length = input.length()?;
    let body = input.take(length)?;
    let inflated;
    let contents = match kind {
        CHANGE => body,
        COMPRESSED => {
            inflated = inflate(body)?;
            &inflated
        }
        other => return Err(damaged(&format!("a chunk of type {other} is no change"))),
    };
    if contents.len() > MOST_CHANGE_BYTES {
        return Err(BadRecord::OverBudget(format!(
            "{MOST_CHANGE_BYTES} bytes in one change"
        )));
    }
    let mut head = vec![CHANGE];
    write_uleb(&mut head, contents.len() as u64);
    let hash = Sha256::new()
        .chain_update(&head)
        .chain_update(contents)
        .finalize();
    if !hash.starts_with(checksum) {
        return Err(damaged("its checksum is not its own"));
    }
    let (deps, unfolded) = measure(contents)?;
    let mut whole = Vec::with_capacity(contents.len().saturating_add(16));
    whole.extend(MAGIC);
    whole.extend(checksum);
    whole.extend(head);
    whole.extend(contents);
    let id = ChangeId::from_bytes(hash.into());
    Ok((
        Chunk {
            id,
            deps,
            bytes: whole,
        },
        unfolded,
        input.0,
    ))
}

fn inflate(body: &[u8]) -> Result<Vec<u8>, BadRecord> {
    let mut out = Vec::new();
    let most = MOST_CHANGE_BYTES.saturating_add(1);
    // Grown as it comes: the reader stops at the budget, whatever the stream holds.
    DeflateDecoder::new(body)
        .take(most as u64)
        .read_to_end(&mut out)
        .map_err(|_| damaged("it does not inflate"))?;
    if out.len() > MOST_CHANGE_BYTES {
        return Err(BadRecord::OverBudget(format!(
            "{MOST_CHANGE_BYTES} bytes in one change"
        )));
    }
    Ok(out)
}

/// What a change builds on, how many rows its longest column unfolds to, and how many objects it makes.
fn measure(contents: &[u8]) -> Result<(Vec<ChangeId>, Unfolded), BadRecord> {
    let mut input = Input(contents);
    let mut deps = Vec::new();
    for _ in 0..input.count(32)? {
        deps.push(ChangeId::from_bytes(input.array()?));
    }
    input.prefixed()?; // actor
    input.uleb()?; // seq
    input.uleb()?; // first operation
    input.sleb()?; // time
    input.prefixed()?; // message
    let others = input.count(1)?;
    for _ in 0..others {
        input.prefixed()?; // other actors
    }
    let actors = (others as u64).saturating_add(1);
    let mut columns = Vec::new();
    for _ in 0..input.count(2)? {
        columns.push((input.uleb()?, input.length()?));
    }
    let mut all = Unfolded::default();
    for (spec, length) in columns {
        let column = unfolded(spec, input.take(length)?, actors)?;
        all.rows = all.rows.max(column.rows);
        all.objects = all.objects.saturating_add(column.objects);
        all.deletions = all.deletions.saturating_add(column.deletions);
    }
    Ok((deps, all))
}

/// How many rows a column unfolds to, by its type (the low three bits of its specification), and how many objects
/// those of the actions' column make and how many of them delete. Whoever an operation names must be one of the change's actors: Automerge never looks.
fn unfolded(spec: u64, column: &[u8], actors: u64) -> Result<Unfolded, BadRecord> {
    if spec & 0b1000 != 0 {
        return Err(damaged("a compressed column inside a change"));
    }
    let mut input = Input(column);
    let (mut rows, mut objects, mut deletions) = (0_u64, 0_u64, 0_u64);
    match spec & 0b111 {
        // Boolean: run lengths, alternating.
        4 => {
            while !input.0.is_empty() {
                rows = rows.saturating_add(input.uleb()?);
            }
        }
        // Raw values: as many bytes as there are, no run lengths.
        7 => {}
        // Run-length: unsigned, signed (delta) or text values.
        kind => {
            while !input.0.is_empty() {
                let run = input.sleb()?;
                let literal = run < 0;
                if run == 0 {
                    rows = rows.saturating_add(input.uleb()?);
                    continue;
                }
                rows = rows.saturating_add(run.unsigned_abs());
                let (values, each) = if literal {
                    (run.unsigned_abs(), 1)
                } else {
                    (1, run.unsigned_abs())
                };
                for _ in 0..values {
                    match kind {
                        3 => drop(input.sleb()?),
                        5 => drop(input.prefixed()?),
                        _ => {
                            let value = input.uleb()?;
                            if kind == ACTOR && value >= actors {
                                return Err(damaged("it names an actor that it does not have"));
                            }
                            if spec == ACTIONS && MAKE.contains(&value) {
                                objects = objects.saturating_add(each);
                            }
                            if spec == ACTIONS && value == DELETE {
                                deletions = deletions.saturating_add(each);
                            }
                        }
                    }
                }
            }
        }
    }
    Ok(Unfolded {
        rows,
        objects,
        deletions,
        ..Unfolded::default()
    })
}

/// Bytes still to be read. Every reader takes from the front and never past the end.
pub(super) struct Input<'a>(pub(super) &'a [u8]);

impl<'a> Input<'a> {
    fn array<const N: usize>(&mut self) -> Result<[u8; N], BadRecord> {
        let bytes = self.take(N)?;
        bytes.try_into().map_err(|_| damaged("it ends too early"))
    }

    pub(super) fn take(&mut self, count: usize) -> Result<&'a [u8], BadRecord> {
        let (head, rest) = self
            .0
            .split_at_checked(count)
            .ok_or_else(|| damaged("it ends too early"))?;
        self.0 = rest;
        Ok(head)
    }

    pub(super) fn byte(&mut self) -> Result<u8, BadRecord> {
        let (first, rest) = self.0.split_first().ok_or_else(|| damaged("it ends too early"))?;
        self.0 = rest;
        Ok(*first)
    }

    pub(super) fn uleb(&mut self) -> Result<u64, BadRecord> {
        let mut value = 0_u64;
        for shift in (0..64).step_by(7) {
            let byte = self.byte()?;
            let bits = u64::from(byte & 0x7f);
            if shift == 63 && bits > 1 {
                break;
            }
            value |= bits << shift;
            if byte & 0x80 == 0 {
                return Ok(value);
            }
        }
        Err(damaged("a number with too many bytes"))
    }

    pub(super) fn sleb(&mut self) -> Result<i64, BadRecord> {
        let mut value = 0_i64;
        for shift in (0..64).step_by(7) {
            let byte = self.byte()?;
            value |= i64::from(byte & 0x7f) << shift;
            if byte & 0x80 == 0 {
                let negative = byte & 0x40 != 0 && shift < 57;
                return Ok(if negative {
                    value | (-1_i64 << (shift + 7))
                } else {
                    value
                });
            }
        }
        Err(damaged("a number with too many bytes"))
    }

    pub(super) fn length(&mut self) -> Result<usize, BadRecord> {
        usize::try_from(self.uleb()?).map_err(|_| damaged("a length beyond this machine"))
    }

    /// A count of things that take at least `each` bytes: never more than the bytes that are left can hold.
    pub(super) fn count(&mut self, each: usize) -> Result<usize, BadRecord> {
        let count = self.length()?;
        if count.saturating_mul(each) > self.0.len() {
            return Err(damaged("a count beyond its end"));
        }
        Ok(count)
    }

    pub(super) fn prefixed(&mut self) -> Result<&'a [u8], BadRecord> {
        let length = self.length()?;
        self.take(length)
    }
}

fn write_uleb(out: &mut Vec<u8>, mut value: u64) {
    loop {
        let byte = (value & 0x7f) as u8;
        value >>= 7;
        if value == 0 {
            out.push(byte);
            return;
        }
        out.push(byte | 0x80);
    }
}
