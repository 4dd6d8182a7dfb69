//! Which commands are long work, and what is begun by each. What steps it is no command's.

use record::Id;
use serde_json::Value;

use super::asked::Command;
use super::meetings::{CarryOutFile, CarrySizeOf, Rebuild};
use super::pages::Check;
use crate::long::{Long, NamedWork, Work};
use crate::notebook::Notebook;
use crate::refusal::Refusal;

impl Notebook {
    /// Begins the long work that a command is; nothing where it is none, or where its arguments do not fit, which the registry
    /// refuses in words.
    pub fn long(&mut self, record: Option<&str>, name: &str, args: &Value) -> Option<Result<Long, Refusal>> {
        let args = if args.is_null() {
            &Value::Object(serde_json::Map::new())
        } else {
            args
        };
        let record = self.which(record).map(|row| row.id);
        match name {
            CarryOutFile::NAME => self.begin_long(record, args, CarryOutFile::long),
            CarrySizeOf::NAME => self.begin_long(record, args, CarrySizeOf::long),
            // A check is of the folder, whichever cars it keeps.
            Check::NAME => self.begin_long(record.or_else(|_| Ok(Id::car())), args, Check::long),
            Rebuild::NAME => self.begin_long(record, args, Rebuild::long),
            _ => None,
        }
    }

    fn begin_long<C: Command, W: Work>(
        &mut self,
        record: Result<Id, Refusal>,
        args: &Value,
        work: impl FnOnce(C, &Id) -> W,
    ) -> Option<Result<Long, Refusal>> {
        let command: C = serde_json::from_value(args.clone()).ok()?;
        let named = NamedWork {
            name: C::NAME,
            // A size is asked for by a form while it is filled in, which says so itself.
            quiet: C::NAME == CarrySizeOf::NAME,
            can_be_stopped: true,
        };
        Some(record.and_then(|record| self.begun(named, &record, |record| work(command, record))))
    }
}
