//! What is begun and left half done, each with where it stopped: what Day opens with. It reads entries only.

use record::Kind;
use record::own_word::is_begun;

use super::lines::Reader;
use crate::wire::JobLine;

/// The jobs that are begun, what was said last first.
pub(crate) fn begun(read: &Reader<'_>) -> Vec<JobLine> {
    let begun = read.view.asking(Kind::Job).filter(|job| is_begun(job));
    let mut lines: Vec<JobLine> = begun.filter_map(|job| read.job(job)).collect();
    let said_at = |line: &JobLine| {
        let put = line.state_by.iter().map(|by| by.at);
        put.chain(line.left_off_by.iter().map(|by| by.at))
            .max()
            .unwrap_or(line.by.at)
    };
    lines.sort_by(|a, b| (said_at(b), &a.id).cmp(&(said_at(a), &b.id)));
    lines
}
