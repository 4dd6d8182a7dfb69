//! What another version of the program left, made as this one keeps it in a thread beside the pages; and what waits for that. It judges
//! nothing: which cars are behind is the notebook's to say.

use notebook::{Notebook, Refusal};

use crate::handle::Handle;
use crate::long;
use crate::trace::unless;

impl Handle {
    /// Makes what another version left as this one keeps it, beside the pages, and does `after` then: at once where there is nothing to
    /// make. What fails later is told in the trace.
    ///
    /// # Errors
    /// What `after` refuses at once.
    pub fn caught_up_then(
        &self,
        after: impl FnOnce(&Self) -> Result<(), Refusal> + Send + 'static,
    ) -> Result<(), Refusal> {
        let Some(long) = self.with(Notebook::catch_up) else {
            return after(self);
        };
        let handle = self.clone();
        let begun = std::thread::Builder::new()
            .name("catching up".to_owned())
            .spawn(move || {
                let made = long::to_its_end(&handle, long, &mut |_| true);
                unless("what another version left could not be made anew", made);
                unless("meetings could not begin", after(&handle));
            });
        begun
            .map(drop)
            .map_err(|error| Refusal::failed("thread", error.to_string()))
    }
}
