//! How many panics there were in this process, wherever they were caught. Those of a test itself count too.

use std::sync::Once;
use std::sync::atomic::{AtomicUsize, Ordering};

static PANICS: AtomicUsize = AtomicUsize::new(0);

/// Counts them from now on; how many there were until now.
pub fn counted() -> usize {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let usual = std::panic::take_hook();
        std::panic::set_hook(Box::new(move |info| {
            PANICS.fetch_add(1, Ordering::SeqCst);
            usual(info);
        }));
    });
    PANICS.load(Ordering::SeqCst)
}
