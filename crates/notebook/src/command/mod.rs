//! The one registry of commands and queries. From this list come the dispatch, the JSON Schemas and the TypeScript
//! map; a face adds nothing to it and hides nothing of it.

mod alike;
mod aside;
mod asked;
mod bench;
mod called;
mod came;
mod day;
mod drops;
mod edits;
mod folder;
mod keep;
mod kinds;
mod live;
mod long;
mod meetings;
mod money;
mod pages;
mod photos;
mod pictures;
mod readings;
mod row;
mod tonight;
mod tour;
mod types;
mod typescript;

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

use self::asked::Command as _;
pub use self::asked::Registered;
pub use self::typescript::typescript;
use crate::desk::Desk;
use crate::notebook::Notebook;
use crate::refusal::Refusal;
use crate::wire::Answered;
use crate::wire::reply::json;

macro_rules! list {
    ($($command:ty),+ $(,)?) => { vec![$(Registered::of::<$command>()),+] };
}

/// Every command and query, in the order they are listed.
#[must_use]
#[expect(
    clippy::too_many_lines,
    reason = "the one list of commands and queries, a line each"
)]
pub fn registry() -> Vec<Registered> {
    let mut all = list![
        // Pages.
        pages::Records,
        pages::SavedWhere,
        pages::DayOf,
        tonight::HowItStands,
        came::Away,
        came::WhatCame,
        came::ReadComing,
        pages::Begun,
        pages::CarOf,
        pages::OwnOf,
        pages::AssemblyOf,
        pages::FindingOf,
        pages::Keepers,
        pages::Points,
        pages::QuestionOf,
        pages::Agreed,
        pages::WhatDiffers,
        pages::EarlierHand,
        pages::Stores,
        pages::Search,
        pages::Explain,
        pages::EntryOf,
        photos::PhotoOf,
        photos::Pictures,
        photos::PhotoFetch,
        pictures::AddPhotos,
        pictures::StrikePhotos,
        photos::Connection,
        pages::History,
        pages::List,
        alike::AlikeTo,
        pages::CloseUpCheck,
        pages::StrikeCheck,
        pages::DigestOf,
        pages::Check,
        // Bench.
        bench::Calculations,
        bench::Reckon,
        money::Money,
        readings::ReadingOf,
        readings::TakeRemedy,
        readings::VerdictHistory,
        keep::KeepAnswer,
        keep::KeptAnswerOf,
        keep::TighteningRunOf,
        keep::Tighten,
        keep::UndoTightening,
    ];
    all.extend(kinds::adding());
    all.extend(kinds::changing());
    all.extend(list![
        alike::AddParts,
        tonight::SayHowItStands,
        // Everything else that is done to a record.
        edits::Note,
        edits::WriteSheet,
        edits::PutHours,
        edits::Strike,
        edits::ClearStruck,
        edits::TakeBack,
        edits::CloseUp,
        edits::TakeBackClosing,
        edits::PutInPlace,
        row::StackParts,
        edits::Settle,
        edits::Reopen,
        edits::AgreeAgain,
        // Beginning, joining, meeting.
        meetings::StartRecord,
        meetings::JoinRecord,
        meetings::CarryOutFile,
        meetings::CarrySizeOf,
        meetings::CarryInFile,
        aside::Aside,
        meetings::Rebuild,
        folder::ChooseRecord,
        folder::Folder,
        folder::FolderIs,
        folder::LetGo,
        folder::Passphrase,
        folder::WhatIsUnderway,
        folder::Stop,
        tour::TourOf,
        tour::LeaveTour,
        // Meeting over a network, and through a drop.
        live::Members,
        live::Revoke,
        live::Cut,
        live::Meetings,
        live::MeetNow,
        live::Live,
        live::PairOpen,
        live::PairJoin,
        live::PairCode,
        live::PairConfirm,
        drops::Drops,
        drops::DropAdd,
        drops::DropRemove,
        drops::DropLook,
        drops::DropAhead,
    ]);
    all
}

/// Does a command by its name.
fn answered(
    notebook: &mut Notebook,
    record: Option<&str>,
    name: &str,
    args: Value,
) -> Result<Answered, Refusal> {
    let all = registry();
    let Some(command) = all.iter().find(|command| command.name == name) else {
        let like: Vec<&str> = all
            .iter()
            .map(|command| command.name)
            .filter(|known| near(known, name))
            .collect();
        let hint = if like.is_empty() {
            String::new()
        } else {
            format!("; there is {}", like.join(", "))
        };
        let name: String = name.chars().take(60).collect();
        return Err(Refusal::input(
            "no_command",
            format!("there is no command '{name}'{hint}"),
        ));
    };
    let args = if args.is_null() {
        Value::Object(serde_json::Map::new())
    } else {
        args
    };
    let mut desk = Desk::new(notebook, record);
    Ok(Answered {
        reply: (command.run)(&mut desk, args)?,
        // What writes is asked for once.
        looked_at: desk.looked_at().marks().filter(|_| !command.writes),
    })
}

/// Answers what needs no folder.
fn without_folder(name: &str, args: Value) -> Result<Value, Refusal> {
    fn answer<T: DeserializeOwned, R: Serialize>(
        args: Value,
        run: impl FnOnce(T) -> Result<R, Refusal>,
    ) -> Result<Value, Refusal> {
        let args =
            serde_json::from_value(args).map_err(|error| Refusal::input("arguments", error.to_string()))?;
        json(&run(args)?)
    }
    match name {
        bench::Calculations::NAME => answer(args, bench::Calculations::answer),
        bench::Reckon::NAME => answer(args, bench::Reckon::answer),
        _ => Err(Refusal::input(
            "no_record",
            format!("'{name}' needs a data folder"),
        )),
    }
}

/// Whether a known name shares a word with what was typed.
fn near(known: &str, typed: &str) -> bool {
    typed
        .split(['_', '-', ' '])
        .any(|word| word.len() > 2 && known.split('_').any(|part| part.starts_with(word)))
}
