//! A bounded queue of frames between a thread that waits and a task that does not: either end may be either kind.
//! It holds at most [`ROOM`] bytes (one frame may always enter an empty queue), so a slow reader holds back a fast
//! writer, and at last the network. It never drops a frame while it is open.

use std::collections::VecDeque;
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use tokio::sync::Notify;

/// The most bytes that wait in one queue, beside the one frame that always may.
pub(super) const ROOM: usize = 2 * 1024 * 1024;

/// The queue; shared by an [`std::sync::Arc`].
#[derive(Default)]
pub(super) struct Queue {
    inner: Mutex<Inner>,
    came: Condvar,
    left: Condvar,
    came_async: Notify,
    left_async: Notify,
}

#[derive(Default)]
struct Inner {
    frames: VecDeque<Vec<u8>>,
    bytes: usize,
    closed: bool,
    knocked: bool,
    /// Somebody waits until fewer bytes than this are in.
    awaited: Option<usize>,
}

/// What a waiting reader was given.
pub(super) enum Pulled {
    Frame(Vec<u8>),
    /// Somebody knocked, or the time was over.
    Nothing,
    /// Closed, and empty.
    Closed,
}

impl Queue {
    fn lock(&self) -> MutexGuard<'_, Inner> {
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Puts a frame in from a thread, waiting for room. False when the queue is closed.
    pub(super) fn push(&self, frame: Vec<u8>) -> bool {
        let mut inner = self.lock();
        while !inner.closed && !inner.has_room(frame.len()) {
            inner = self.left.wait(inner).unwrap_or_else(PoisonError::into_inner);
        }
        let open = inner.enter(frame);
        drop(inner);
        self.tell_came();
        open
    }

    /// Puts a frame in at once, whether or not there is room. False when the queue is closed.
    pub(super) fn put(&self, frame: Vec<u8>) -> bool {
        let open = self.lock().enter(frame);
        self.tell_came();
        open
    }

    /// Bytes that are in.
    pub(super) fn bytes(&self) -> usize {
        self.lock().bytes
    }

    /// Somebody waits until fewer bytes than this are in: [`Queue::is_low`] says when. Whether they are already.
    pub(super) fn await_below(&self, below: usize) -> bool {
        let mut inner = self.lock();
        let low = inner.bytes < below;
        inner.awaited = (!low).then_some(below);
        low
    }

    /// Whether fewer bytes are in than somebody waits for; said once.
    pub(super) fn is_low(&self) -> bool {
        let mut inner = self.lock();
        let bytes = inner.bytes;
        inner.awaited.take_if(|below| bytes < *below).is_some()
    }

    /// Puts a frame in from a task, waiting for room. False when the queue is closed.
    pub(super) async fn push_async(&self, frame: Vec<u8>) -> bool {
        loop {
            // Registered before the look, so that a reader that makes room in between is not missed.
            let left = self.left_async.notified();
            tokio::pin!(left);
            left.as_mut().enable();
            {
                let mut inner = self.lock();
                if inner.closed || inner.has_room(frame.len()) {
                    let open = inner.enter(frame);
                    drop(inner);
                    self.tell_came();
                    return open;
                }
            }
            left.await;
        }
    }

    /// Takes a frame from a thread, waiting no longer than this.
    pub(super) fn pull(&self, within: Duration) -> Pulled {
        let until = Instant::now().checked_add(within);
        let mut inner = self.lock();
        loop {
            if let Some(frame) = inner.leave() {
                drop(inner);
                self.tell_left();
                return Pulled::Frame(frame);
            }
            if inner.closed {
                return Pulled::Closed;
            }
            let rest = until.map(|until| until.saturating_duration_since(Instant::now()));
            if std::mem::take(&mut inner.knocked) || rest.is_some_and(|rest| rest.is_zero()) {
                return Pulled::Nothing;
            }
            inner = match rest {
                Some(rest) => {
                    self.came
                        .wait_timeout(inner, rest)
                        .unwrap_or_else(PoisonError::into_inner)
                        .0
                }
                None => self.came.wait(inner).unwrap_or_else(PoisonError::into_inner),
            };
        }
    }

    /// Takes a frame from a task; none when the queue is closed and empty.
    pub(super) async fn pull_async(&self) -> Option<Vec<u8>> {
        loop {
            let came = self.came_async.notified();
            tokio::pin!(came);
            came.as_mut().enable();
            {
                let mut inner = self.lock();
                if let Some(frame) = inner.leave() {
                    drop(inner);
                    self.tell_left();
                    return Some(frame);
                }
                if inner.closed {
                    return None;
                }
            }
            came.await;
        }
    }

    /// Ends a thread's waiting in [`Queue::pull`], now or when it next waits.
    pub(super) fn knock(&self) {
        self.lock().knocked = true;
        self.came.notify_all();
    }

    /// Nothing enters any more; what is in may still be taken.
    pub(super) fn close(&self) {
        self.lock().closed = true;
        self.tell_came();
        self.tell_left();
    }

    /// Whether nothing enters any more.
    pub(super) fn is_closed(&self) -> bool {
        self.lock().closed
    }

    fn tell_came(&self) {
        self.came.notify_all();
        self.came_async.notify_waiters();
    }

    fn tell_left(&self) {
        self.left.notify_all();
        self.left_async.notify_waiters();
    }
}

impl Inner {
    fn has_room(&self, bytes: usize) -> bool {
        self.frames.is_empty() || self.bytes.saturating_add(bytes) <= ROOM
    }

    fn enter(&mut self, frame: Vec<u8>) -> bool {
        if !self.closed {
            self.bytes = self.bytes.saturating_add(frame.len());
            self.frames.push_back(frame);
        }
        !self.closed
    }

    fn leave(&mut self) -> Option<Vec<u8>> {
        let frame = self.frames.pop_front()?;
        self.bytes = self.bytes.saturating_sub(frame.len());
        Some(frame)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Arc;

    #[test]
    fn a_slow_reader_holds_back_a_fast_writer_and_nothing_is_lost() {
        let queue = Arc::new(Queue::default());
        let writer = {
            let queue = Arc::clone(&queue);
            std::thread::spawn(move || {
                for number in 0..100_u32 {
                    assert!(queue.push(number.to_le_bytes().repeat(50_000)));
                    assert!(queue.lock().bytes <= ROOM);
                }
                queue.close();
            })
        };
        let mut got = 0_u32;
        loop {
            match queue.pull(Duration::from_secs(10)) {
                Pulled::Frame(frame) => {
                    assert_eq!(frame[..4], got.to_le_bytes());
                    got += 1;
                }
                Pulled::Nothing => panic!("nothing came for ten seconds"),
                Pulled::Closed => break,
            }
        }
        writer.join().unwrap();
        assert_eq!(got, 100);
        assert!(!queue.push(vec![1]));
    }

    #[test]
    fn whoever_waits_for_room_is_told_once_when_enough_has_left() {
        let queue = Queue::default();
        assert!(queue.put(vec![1; 60]) && queue.put(vec![2; 60]));
        assert_eq!(queue.bytes(), 120);
        assert!(!queue.is_low(), "nobody waits");
        assert!(queue.await_below(121));
        assert!(!queue.is_low(), "nobody had to wait");
        assert!(!queue.await_below(100));
        // Above the room for those that wait for it.
        assert!(queue.put(vec![3; ROOM]));
        for _ in 0..2 {
            assert!(matches!(queue.pull(Duration::ZERO), Pulled::Frame(_)));
            assert!(!queue.is_low());
        }
        assert!(matches!(queue.pull(Duration::ZERO), Pulled::Frame(_)));
        assert!(queue.is_low() && !queue.is_low());
        queue.close();
        assert!(!queue.put(vec![4]));
        assert_eq!(queue.bytes(), 0);
    }

    #[test]
    fn a_knock_ends_the_wait() {
        let queue = Queue::default();
        queue.knock();
        assert!(matches!(queue.pull(Duration::from_secs(60)), Pulled::Nothing));
        assert!(matches!(queue.pull(Duration::ZERO), Pulled::Nothing));
    }
}
