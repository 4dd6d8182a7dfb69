//! What may be typed after `witnessmark`. It checks shapes only; what they mean is the notebook's.

use std::path::PathBuf;

use clap::{Parser, Subcommand};
use record::Day;

use crate::drop::DropTask;

/// The notebook of two people and one car.
#[derive(Debug, Parser)]
#[command(name = "witnessmark", version, about, disable_help_subcommand = true)]
pub(crate) struct Arguments {
    /// The data folder.
    #[arg(long, global = true, value_name = "DIR")]
    pub(crate) at: Option<PathBuf>,
    /// Which car, where the folder keeps several: its name or its id.
    #[arg(long, global = true, value_name = "NAME")]
    pub(crate) record: Option<String>,
    /// Print JSON, errors too.
    #[arg(long, global = true)]
    pub(crate) json: bool,
    /// Say on standard error what goes on in the background; the data folder's trace.log has it in any case.
    #[arg(long, global = true)]
    pub(crate) trace: bool,
    /// What to do.
    #[command(subcommand)]
    pub(crate) task: Task,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub(crate) enum Task {
    /// Begin the record of a car on this device.
    Start {
        /// The first keeper.
        #[arg(long, value_name = "NAME")]
        keeper: String,
        /// What the car is called.
        #[arg(long, value_name = "NAME")]
        car: String,
        /// What this device is called.
        #[arg(long, value_name = "NAME")]
        device: Option<String>,
    },
    /// Join a record from a carry file that holds everything.
    Join {
        /// The carry file.
        file: PathBuf,
        /// Whose device this is: a keeper that the record has, or a new one.
        #[arg(long, value_name = "NAME")]
        keeper: String,
        /// What this device is called.
        #[arg(long, value_name = "NAME")]
        device: Option<String>,
        /// The passphrase that the file is sealed to; `-` reads it from standard input, one line.
        #[arg(long, value_name = "WORDS")]
        passphrase: Option<String>,
    },
    /// List the commands and queries, with a JSON Schema for each argument and reply under --json.
    Commands,
    /// Do a command or ask a query: NAME and its arguments as JSON. With NAME '-', read requests as lines of JSON
    /// from standard input and answer each with a line.
    Call {
        /// Its name, or '-'.
        name: String,
        /// Its arguments.
        #[arg(value_name = "JSON", default_value = "{}")]
        args: String,
    },
    /// Meet by a file.
    Carry {
        /// Which way.
        #[command(subcommand)]
        way: Way,
    },
    /// Meet through a place that several devices write to and none trusts: a stick, a folder, a bucket. All that lies
    /// there is sealed.
    Drop {
        /// What to do.
        #[command(subcommand)]
        task: DropTask,
    },
    /// List what revoked devices wrote later: set aside, and in no part of the record.
    Aside,
    /// Pair with another device: without TICKET, show one; with it, follow it. Then both keepers compare digits.
    Pair {
        /// The ticket that the other device shows, or the eight digits that its keeper reads out.
        ticket: Option<String>,
        /// Show eight digits to read out instead of a ticket, for a device on the same network.
        #[arg(long, conflicts_with = "ticket")]
        voice: bool,
        /// Whose device this is, where it joins: a keeper that the record has, or a new one.
        #[arg(long, value_name = "NAME")]
        keeper: Option<String>,
        /// What this device is called, where it joins.
        #[arg(long, value_name = "NAME")]
        device: Option<String>,
    },
    /// Meet the other devices that are here, and say how it stands.
    Meet {
        /// For how long.
        #[arg(long = "for", value_name = "SECONDS", default_value_t = 30)]
        seconds: u64,
    },
    /// List the devices that the record is kept on, and which of them are met no more.
    Members,
    /// Say that a device is met no more: lost, sold, stolen. It stands for good.
    Revoke {
        /// Its name, its id, or a keeper with one device.
        device: String,
        /// Why.
        #[arg(long, value_name = "WORDS")]
        why: String,
    },
    /// Cut off a device that was paired here and that the record does not name.
    Cut {
        /// Its id, as `members` tells it.
        device: String,
    },
    /// Meet through a relay of one's own: its https address, or `off`; with nothing, say which.
    Relay {
        /// The address, or `off`.
        relay: Option<String>,
    },
    /// Choose which originals this device fetches, or fetch one; with nothing, say how it stands.
    #[command(args_conflicts_with_subcommands = true)]
    Photos {
        /// Take pictures in.
        #[command(subcommand)]
        task: Option<PhotosTask>,
        /// All of them, or those that are asked for. Small pictures always come.
        #[arg(long, value_name = "WHICH", value_parser = ["all", "asked"])]
        fetch: Option<String>,
        /// By every connection, or only where it is not paid by what it carries.
        #[arg(long, value_name = "WHEN", value_parser = ["always", "unmetered"])]
        by: Option<String>,
        /// Ask for the original of this photo, by its id.
        #[arg(long, value_name = "PHOTO")]
        get: Option<String>,
    },
    /// Propose six words that a carry file may be sealed to.
    Passphrase,
    /// Say which device this data folder is, where that is asked; with nothing, say how it stands.
    Folder {
        /// `same`: the same device, moved or restored. `copy`: the other goes on or was stolen, and this one becomes a
        /// device of its own.
        #[arg(value_parser = ["same", "copy"])]
        is: Option<String>,
        /// What the copy is called.
        #[arg(long, value_name = "NAME")]
        device: Option<String>,
    },
    /// Print a digest of everything: the same on two devices that have the same.
    Digest,
    /// Read everything and say in words what is wrong.
    Check {
        /// Give up entries that a check tells are gone, where nobody has them any more.
        #[arg(long)]
        let_go: bool,
    },
    /// Make the read tables anew from the document.
    Rebuild,
    /// Show the pages to a browser on this machine, and to nobody else.
    Serve {
        /// The port; 0 takes that of last time, or a free one.
        #[arg(long, default_value_t = 0)]
        port: u16,
    },
    /// Answer a calculation: NAME key=value …
    Reckon {
        /// Which calculation.
        name: Option<String>,
        /// What is known, as typed: `bore=77mm`.
        #[arg(value_name = "KEY=VALUE")]
        inputs: Vec<String>,
        /// List the calculations, or the one that is named: what each takes, in which units, and the ranges.
        #[arg(long)]
        list: bool,
        /// Answer in inches and pounds-feet.
        #[arg(long)]
        inch: bool,
    },
    /// Build the demo: two devices that share a past and were then edited apart.
    Demo {
        /// Where; it makes `parent` and `child` in it.
        #[arg(long, value_name = "DIR")]
        into: PathBuf,
        /// The day it is for: it ends on the evening before, and the keeper who is away comes on the day after. Today where nothing is said,
        /// as it is in UTC.
        #[arg(long, value_name = "DAY")]
        day: Option<Day>,
    },
    /// Write the TypeScript types of the wire.
    #[command(hide = true)]
    Types {
        /// The folder to write `wire.ts` into.
        #[arg(long, value_name = "DIR")]
        out: PathBuf,
    },
}

/// Which way a carry file goes.
#[derive(Debug, Subcommand)]
pub(crate) enum Way {
    /// Write one: everything, or what one device lacks. It is sealed to the record's devices, unless it is sealed to a
    /// passphrase, for a newcomer, or is to be open.
    Out {
        /// The file to write.
        file: PathBuf,
        /// Only what this device lacks: the name of a keeper or a device, or a device's id.
        #[arg(long, value_name = "NAME")]
        to: Option<String>,
        /// Leave photos out.
        #[arg(long)]
        no_photos: bool,
        /// Seal it to this passphrase; `-` reads it from standard input, one line.
        #[arg(long, value_name = "WORDS", conflicts_with = "open")]
        passphrase: Option<String>,
        /// Leave it open: whoever finds it can read it.
        #[arg(long)]
        open: bool,
    },
    /// Say how long such a file would be.
    Size {
        /// Only what this device lacks: the name of a keeper or a device, or a device's id.
        #[arg(long, value_name = "NAME")]
        to: Option<String>,
        /// Leave photos out.
        #[arg(long)]
        no_photos: bool,
    },
    /// Take one in.
    In {
        /// The file to read.
        file: PathBuf,
        /// The passphrase that it is sealed to; `-` reads it from standard input, one line.
        #[arg(long, value_name = "WORDS")]
        passphrase: Option<String>,
        /// Take in what nobody whom the record knows vouches for, and let devices in that it does not know yet; ask whose
        /// file it is said to be first, by voice, whether it is theirs.
        #[arg(long)]
        welcome: bool,
    },
}

/// What is done with pictures.
#[derive(Debug, Subcommand)]
pub(crate) enum PhotosTask {
    /// Take a folder of pictures in, from a camera or a phone: each goes to the day on which it was taken. The files stay as they are; what
    /// the record has already is not entered again, so that one that was stopped goes on where it stopped.
    In {
        /// The folder, or one picture.
        folder: PathBuf,
        /// What they show, such as `assembly:0190…`; nothing, and it is left for later.
        #[arg(long, value_name = "NAME")]
        about: Option<String>,
        /// The day of those that do not say when they were taken.
        #[arg(long, value_name = "DAY")]
        day: Option<String>,
        /// How many days the camera's clock was behind; less than nought where it was ahead.
        #[arg(long, value_name = "DAYS", default_value_t = 0, allow_negative_numbers = true)]
        shift: i64,
    },
}
