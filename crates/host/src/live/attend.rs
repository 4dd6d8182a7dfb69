//! One thread that starts and stops the net as the record and the keeper's settings have it, and gives each
//! meeting a thread of its own. It waits for words and does nothing in between.

use std::collections::BTreeSet;
use std::sync::mpsc::{Receiver, channel};
use std::sync::{Arc, Weak};
use std::thread;

use link::identity::Key;
use link::net::{Address, Net, NetEvent, Why};
use record::Kind;

use notebook::Refusal;
use notebook::live::Circle;

use super::attended::Attended;
use super::meet::meet;
use super::shared::{Shared, Word};
use super::surroundings::Surroundings;
use crate::handle::Handle;
use crate::trace::{short, unless};
use crate::turns::{InTurns, locked, turn};

impl Handle {
    /// Looks after meetings, and after drops, in the background from now on, until [`Handle::leave`], or until the notebook is let go.
    /// The net itself starts when there is somebody to meet or to pair with. Doing it again changes nothing.
    ///
    /// # Errors
    /// When no thread can be had.
    pub fn attend(&self, around: Surroundings) -> Result<(), Refusal> {
        self.attend_drops()?;
        let weak = self.weak();
        self.with(|notebook| {
            if notebook.has_meetings_attended() {
                return Ok(());
            }
            let (tell, words) = channel();
            let shared = Arc::new(Shared::new(around, Weak::clone(&weak), tell));
            let listening = Arc::downgrade(&shared);
            notebook.watch(move |patch| {
                let Some(shared) = listening.upgrade() else {
                    return false;
                };
                shared.stir(&patch.record);
                if patch.touched.iter().any(|name| name.kind == Kind::Device) {
                    shared.tell(Word::Changed);
                }
                true
            });
            let host = Arc::clone(&shared);
            let thread = thread::Builder::new()
                .name("meetings host".to_owned())
                .spawn(move || attend(&host, &weak, &words))
                .map_err(|error| Refusal::failed("thread", error.to_string()))?;
            self.threads().meetings_begun(thread);
            notebook.attend_meetings(Some(Arc::new(Attended::of(shared))));
            Ok(())
        })
    }

    /// Ends all meetings and waits until they have ended: some seconds at most.
    pub fn leave(&self) {
        self.leave_drops();
        let Some(attended) = self.with(|notebook| notebook.attend_meetings(None)) else {
            return;
        };
        drop(attended);
        self.threads().meetings_end();
    }
}

fn attend(shared: &Arc<Shared>, notebook: &Weak<InTurns>, words: &Receiver<Word>) {
    let mut meetings = Vec::new();
    look(shared, notebook);
    while let Ok(word) = words.recv() {
        match word {
            Word::Stop => break,
            Word::Changed => look(shared, notebook),
            Word::Now => {
                look(shared, notebook);
                if let Some(net) = shared.net() {
                    net.nudge();
                }
                shared.hurry();
            }
            Word::Net(NetEvent::Here(meeting)) => {
                tracing::info!(peer = short(&meeting.peer()), "somebody is here");
                locked(&shared.refused).remove(&meeting.peer());
                meetings.retain(|thread: &thread::JoinHandle<()>| !thread.is_finished());
                let (shared, notebook) = (Arc::clone(shared), Weak::clone(notebook));
                let spawned = thread::Builder::new()
                    .name("a meeting".to_owned())
                    .spawn(move || meet(&shared, &notebook, meeting));
                // Without a thread the meeting was dropped, and ends.
                meetings.extend(spawned.ok());
            }
            Word::Net(NetEvent::Pairing(meeting)) => {
                let way = locked(&shared.pairing).incoming.clone();
                // Nobody pairs any more: dropped, and so ended.
                let _ = way.map(|way| way.send(meeting));
            }
            Word::Net(NetEvent::Gone { peer, why, said, .. }) => {
                tracing::info!(peer = short(&peer), ?why, "a meeting is over");
                if why == Why::Revoked {
                    refused(shared, notebook, peer, said.unwrap_or_else(|| why.to_string()));
                }
                locked(&shared.ended)
                    .entry(peer)
                    .or_insert_with(|| why.to_string());
            }
            Word::Net(NetEvent::Refused { peer, why, said }) => {
                tracing::info!(peer = short(&peer), ?why, "somebody lets this device in no more");
                refused(shared, notebook, peer, said.unwrap_or_else(|| why.to_string()));
            }
            Word::Net(NetEvent::Found { peer, at }) => found(shared, notebook, peer, &at),
            Word::Net(_) => {}
        }
    }
    drop(shared.take_net());
    for meeting in meetings {
        // It has nothing to say at its end.
        let _ = meeting.join();
    }
}

/// Where somebody is who is met: it is sought there next time, should it be gone.
fn found(shared: &Arc<Shared>, notebook: &Weak<InTurns>, peer: Key, at: &[Address]) {
    let met: BTreeSet<Key> = shared.circle().peers.into_keys().collect();
    if !met.contains(&peer) {
        return;
    }
    let news = turn(notebook, |notebook| notebook.was_found(&peer, at, &met));
    // What could not be kept now is told again at the next meeting.
    let news = news.and_then(|news| unless("where somebody was found could not be kept", news));
    if news == Some(true) {
        look(shared, notebook);
    }
}

/// Somebody lets this device in no more: its keeper sees in which words, wherever the two share a record.
fn refused(shared: &Arc<Shared>, notebook: &Weak<InTurns>, peer: Key, words: String) {
    let was = locked(&shared.refused).insert(peer, words.clone());
    if was.as_ref() == Some(&words) {
        return;
    }
    let about = shared.circle().peers.remove(&peer).unwrap_or_default();
    // Where the notebook was let go, nobody looks.
    let _ = turn(notebook, |notebook| {
        for one in about {
            notebook.show(&one.record);
        }
    });
}

/// Sees who may come, and starts or stops the net by it.
fn look(shared: &Arc<Shared>, notebook: &Weak<InTurns>) {
    // All in one turn: a pairing that begins meanwhile has to find the net that it started.
    let wanted = turn(
        notebook,
        |notebook| -> Result<(Option<Arc<Net>>, bool), Refusal> {
            let pairing = locked(&shared.pairing).is_open();
            let circle = notebook.circle()?;
            let on = notebook.meetings_are_on()?;
            // One that was revoked is still to hear of it, even where nobody else is left.
            let somebody = !circle.peers.is_empty() || !circle.revoked.is_empty();
            let wanted =
                notebook.newer().is_none() && notebook.is_itself().is_ok() && (on && somebody || pairing);
            // A ticket that is open lets nobody else in while meetings are off.
            shared.set_circle(if on { circle } else { Circle::default() });
            if wanted {
                // Whoever is being paired keeps the net; other roads are taken when that is over.
                if !pairing && shared.runs_otherwise(notebook)? {
                    return Ok((shared.take_net(), true));
                }
                shared.start_net(notebook)?;
                return Ok((None, false));
            }
            Ok((shared.take_net(), false))
        },
    );
    match wanted {
        Some(Ok((None, _))) => {
            if let Some(net) = shared.net() {
                let mut circle = shared.circle();
                let wishes = circle.peers.keys().map(|key| {
                    let found = circle.addresses.remove(key).unwrap_or_default();
                    (*key, found)
                });
                let wishes = wishes.collect();
                net.wish(wishes);
                // Who was revoked has to go now, and where another record is still shared with it, this one is left out.
                net.recheck();
                shared.look_again();
            }
        }
        // Its farewells take a moment, in which the notebook is free.
        Some(Ok((Some(net), again))) => {
            drop(net);
            if again {
                look(shared, notebook);
            }
        }
        // What cannot be read now is asked again at the next change, and every page says so too.
        Some(Err(refusal)) => tracing::warn!(code = refusal.code, "who may come could not be seen"),
        None => {}
    }
}
