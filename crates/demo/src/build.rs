//! Playing the story: two data folders made through the notebook's own commands, as two people would have, with
//! carry files between them. Clock and randomness come from the story, so that the same sources always make the
//! same two records.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use notebook::{Notebook, Refusal, Source};
use record::{Day, Kind, Moment};
use serde::Serialize;
use serde_json::{Value as Json, json};

use crate::act::{Act, Step};
use crate::closing;
use crate::drawing::Easel;
use crate::error::DemoError;
use crate::key::{Ids, Key};
use crate::laid;
use crate::people::{self, Who};
use crate::sources::Sources;
use crate::story::{Scene, Story};
use crate::tour;

/// What the other process is told that finds a folder in use while the demo is made.
const PROGRAM: &str = "witnessmark demo";

/// What was made.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Built {
    /// The parent's data folder.
    pub parent: PathBuf,
    /// The child's data folder.
    pub child: PathBuf,
    /// The record's id, the same in both.
    pub record: String,
    /// What the car is called.
    pub car: String,
    /// Steps of the shared year.
    pub shared: usize,
    /// Steps that only the parent has made since.
    pub parent_apart: usize,
    /// Steps that only the child has made since.
    pub child_apart: usize,
    /// How often the two met.
    pub meetings: usize,
    /// Photos taken.
    pub photos: usize,
}

/// Makes `into/parent` and `into/child` from the story that this program carries: two devices that share a year and
/// were then edited apart for three weeks. It is laid so that it ends on the evening before `today`.
///
/// # Errors
/// One of the folders is there already, the disk refuses, or the sources are at fault.
pub fn build(into: &Path, today: Day) -> Result<Built, DemoError> {
    let sources = told(&Sources::embedded(), today)?;
    build_story(&Story::read(&sources)?, &sources, into)
}

/// The sources laid so that the story ends on the evening before `today`.
///
/// # Errors
/// The sources are at fault.
pub fn told(sources: &Sources, today: Day) -> Result<Sources, DemoError> {
    let last = Story::read(sources)?.last();
    sources.laid(laid::between(last, today.later(-1)))
}

/// Makes the two folders from a story that was read.
///
/// # Errors
/// As [`build`].
pub fn build_story(story: &Story, sources: &Sources, into: &Path) -> Result<Built, DemoError> {
    for who in [Who::Parent, Who::Child] {
        let folder = into.join(who.folder());
        if folder.exists() {
            return Err(DemoError::There(folder.display().to_string()));
        }
    }
    std::fs::create_dir_all(into).map_err(|why| disk("make the demo's folder", &why))?;
    let mut bench = Bench::new(story, sources, into)?;
    let mut shared: usize = 0;
    for scene in &story.year {
        match scene {
            Scene::Step(step) => {
                bench.play(step)?;
                shared = shared.saturating_add(1);
            }
            Scene::Meeting(at) => bench.meet(*at)?,
        }
    }
    for step in &story.apart {
        bench.play(step)?;
    }
    bench.lay_tours(sources)?;
    let apart = |who| story.apart.iter().filter(|step| step.who == who).count();
    Ok(Built {
        parent: into.join(Who::Parent.folder()),
        child: into.join(Who::Child.folder()),
        record: bench.record,
        car: story.people.car.clone(),
        shared,
        parent_apart: apart(Who::Parent),
        child_apart: apart(Who::Child),
        meetings: story.people.meetings.len(),
        photos: bench.photos,
    })
}

/// One device at work.
struct Device {
    notebook: Notebook,
    id: String,
}

/// Both devices, and the ids that things got.
struct Bench<'a> {
    story: &'a Story,
    easel: Easel<'a>,
    into: &'a Path,
    clock: Arc<AtomicI64>,
    devices: BTreeMap<Who, Device>,
    /// What came to each at the last meeting.
    came: BTreeMap<Who, Json>,
    ids: Ids,
    record: String,
    photos: usize,
}

impl<'a> Bench<'a> {
    /// The parent begins the record, just before the first step.
    fn new(story: &'a Story, sources: &'a Sources, into: &'a Path) -> Result<Self, DemoError> {
        let first = story.steps().next().map_or(0, |step| step.at.seconds());
        let mut bench = Self {
            story,
            easel: Easel::new(sources)?,
            into,
            clock: Arc::new(AtomicI64::new(first.saturating_sub(60))),
            devices: BTreeMap::new(),
            came: BTreeMap::new(),
            ids: BTreeMap::from([(Key::car(), "car".to_owned())]),
            record: String::new(),
            photos: 0,
        };
        let keeper = story.people.keeper(Who::Parent)?;
        let args = json!({ "car": story.people.car, "keeper": keeper.name, "device_name": keeper.device });
        bench.sit_down(Who::Parent, "start_record", args)?;
        Ok(bench)
    }

    /// Opens a device's folder and begins or joins the record there.
    fn sit_down(&mut self, who: Who, command: &str, args: Json) -> Result<(), DemoError> {
        let keeper = self.story.people.keeper(who)?;
        let refused = |clock: &AtomicI64, why: Refusal| DemoError::Refused {
            file: people::FILE.to_owned(),
            entry: keeper.key.clone(),
            who: who.to_string(),
            at: moment(clock).to_string(),
            why: why.to_string(),
        };
        let seed = match who {
            Who::Parent => 1,
            Who::Child => 2,
        };
        let source = Box::new(StoryTime {
            clock: Arc::clone(&self.clock),
            mix: seed,
        });
        let opened = host::open(&self.into.join(who.folder()), PROGRAM, source);
        let mut notebook = opened.map_err(|why| refused(&self.clock, why))?;
        let line = notebook
            .call(None, command, args)
            .map_err(|why| refused(&self.clock, why))?;
        let said = |field: &str| {
            line.get(field)
                .and_then(Json::as_str)
                .unwrap_or_default()
                .to_owned()
        };
        self.ids
            .insert(Key::new(Kind::Keeper, &keeper.key), said("keeper"));
        self.record = said("id");
        self.devices.insert(
            who,
            Device {
                notebook,
                id: said("device"),
            },
        );
        Ok(())
    }

    /// Does one step on its device.
    fn play(&mut self, step: &Step) -> Result<(), DemoError> {
        self.clock.store(step.at.seconds(), Ordering::Relaxed);
        let refused = |why: String| DemoError::Refused {
            file: step.file.clone(),
            entry: step.act.about(),
            who: step.who.to_string(),
            at: step.at.to_string(),
            why,
        };
        let device = self.devices.get_mut(&step.who);
        let device = device.ok_or_else(|| refused("this device has not joined yet".to_owned()))?;
        let mut hash = None;
        if let Act::Add {
            drawing: Some(drawing),
            ..
        } = &step.act
        {
            let picture = self.easel.picture(drawing)?;
            let taken = device
                .notebook
                .take_photo(&picture)
                .map_err(|why| refused(why.to_string()))?;
            hash = Some(taken.hash);
            self.photos = self.photos.saturating_add(1);
        }
        let calls = step.act.calls(&self.ids, hash.as_deref());
        for call in calls.map_err(|key| refused(format!("{key} was never made")))? {
            let reply = device
                .notebook
                .call(None, &call.name, call.args)
                .map_err(|why| refused(why.to_string()))?;
            if let (Act::Add { key, .. } | Act::Keep { key, .. } | Act::Take { key, .. }, Some(id)) =
                (&step.act, reply.get("id").and_then(Json::as_str))
            {
                self.ids.insert(key.clone(), id.to_owned());
            }
        }
        if let Act::Close { assembly, waive } = &step.act {
            let mut ask = |name: &str, args: Json| {
                device
                    .notebook
                    .call(None, name, args)
                    .map_err(|why| refused(why.to_string()))
            };
            closing::close_up(&self.ids, assembly, waive, &mut ask, &refused)?;
        }
        if let Act::Tighten { run, bolts, on } = &step.act {
            let run = self
                .ids
                .get(run)
                .ok_or_else(|| refused(format!("{run} was never begun")))?;
            for _ in 0..*bolts {
                let mut ask = |name: &str, args: Json| {
                    device
                        .notebook
                        .call(None, name, args)
                        .map_err(|why| refused(why.to_string()))
                };
                let page = ask("tightening_run", json!({ "id": run }))?;
                let next = page.get("next").and_then(Json::as_object);
                let of = |field: &str| next.and_then(|next| next.get(field)).cloned().unwrap_or_default();
                let day = on.to_string();
                ask(
                    "tighten",
                    json!({ "run": run, "pass": of("pass"), "place": of("place"), "on": day }),
                )?;
            }
        }
        Ok(())
    }

    /// The devices meet by carry file, both ways; at the first meeting the child's device joins.
    fn meet(&mut self, at: Moment) -> Result<(), DemoError> {
        self.clock.store(at.seconds(), Ordering::Relaxed);
        let stick = self.into.join("stick.carry");
        if !self.devices.contains_key(&Who::Child) {
            self.ask(Who::Parent, "carry_out", json!({ "file": stick, "open": true }))?;
            let keeper = self.story.people.keeper(Who::Child)?;
            let args = json!({ "file": stick, "keeper": keeper.name, "device_name": keeper.device });
            self.sit_down(Who::Child, "join_record", args)?;
        } else {
            self.hand_over(Who::Parent, &stick)?;
        }
        self.hand_over(Who::Child, &stick)?;
        std::fs::remove_file(&stick).map_err(|why| disk("clear the carry file away", &why))
    }

    /// One device writes what the other lacks, and the other takes it in.
    fn hand_over(&mut self, from: Who, stick: &Path) -> Result<(), DemoError> {
        let to = self.devices.get(&from.other()).map(|device| device.id.clone());
        self.ask(
            from,
            "carry_out",
            json!({ "to": to, "file": stick, "open": true }),
        )?;
        // Of what came at the meeting before, all was read by this one.
        if let Some(coming) = self.came.get(&from.other()).cloned() {
            self.ask(from.other(), "read_coming", json!({ "coming": coming }))?;
        }
        let met = self.ask(
            from.other(),
            "carry_in",
            json!({ "file": stick, "welcome": true }),
        )?;
        if let Some(coming) = met.get("coming").filter(|coming| !coming.is_null()) {
            let _ = self.came.insert(from.other(), coming.clone());
        }
        Ok(())
    }

    /// Lays what each folder shows round of itself.
    fn lay_tours(&mut self, sources: &Sources) -> Result<(), DemoError> {
        for (who, device) in &self.devices {
            let keeper = &self.story.people.keeper(*who)?.key;
            let laid = tour::read(sources, keeper, &self.ids)?;
            let kept = device.notebook.lay_tour(&laid);
            kept.map_err(|why| DemoError::wrong(tour::FILE, keeper, why))?;
        }
        Ok(())
    }

    fn ask(&mut self, who: Who, command: &str, args: Json) -> Result<Json, DemoError> {
        let at = moment(&self.clock).to_string();
        let refused = |why: String| DemoError::Refused {
            file: people::FILE.to_owned(),
            entry: command.to_owned(),
            who: who.to_string(),
            at,
            why,
        };
        match self.devices.get_mut(&who) {
            Some(device) => device
                .notebook
                .call(None, command, args)
                .map_err(|why| refused(why.to_string())),
            None => Err(refused("this device has not joined yet".to_owned())),
        }
    }
}

fn moment(clock: &AtomicI64) -> Moment {
    Moment::from_seconds(clock.load(Ordering::Relaxed))
}

fn disk(what: &str, why: &std::io::Error) -> DemoError {
    DemoError::Disk {
        what: what.to_owned(),
        why: why.to_string(),
    }
}

/// The story's clock, and bytes that are the same every time. They name a demo's things and keep no secret.
struct StoryTime {
    clock: Arc<AtomicI64>,
    mix: u64,
}

impl Source for StoryTime {
    fn now(&mut self) -> Moment {
        moment(&self.clock)
    }

    fn random(&mut self) -> [u8; 16] {
        let mut out = [0; 16];
        for half in out.chunks_exact_mut(8) {
            // SplitMix64 (Steele, Lea and Flood 2014): every state gives another output.
            self.mix = self.mix.wrapping_add(0x9e37_79b9_7f4a_7c15);
            let mut word = self.mix;
            word = (word ^ (word >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
            word = (word ^ (word >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
            half.copy_from_slice(&(word ^ (word >> 31)).to_le_bytes());
        }
        out
    }
}
