//! Jobs that need nothing of each other, as many at once as keep the machine's cores busy: one that waits for a
//! browser takes half a core, and one that waits for a network's patience none. What a job says goes to a file of its own, so that two never
//! speak into one another, and is shown whole where the job failed.
//!
//! It never begins a job that does not fit beside those that run, and a job that fails keeps no other from running.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::{Condvar, Mutex, PoisonError};
use std::time::{Duration, Instant};

use crate::house::{LONGEST, wait};
use crate::trouble::Trouble;

/// One program to run to its end.
pub(crate) struct Job {
    /// The step that it is a part of.
    pub(crate) step: &'static str,
    /// What it is called within its step.
    pub(crate) name: String,
    pub(crate) command: Command,
    pub(crate) share: Share,
}

/// How much of a core a job keeps busy.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Share {
    /// All of it.
    Whole,
    /// About half: it waits for a browser that waits for it.
    Half,
    /// Next to nothing: it waits for time to pass.
    Little,
}

impl Share {
    fn halves(self) -> usize {
        match self {
            Self::Whole => 2,
            Self::Half => 1,
            Self::Little => 0,
        }
    }
}

/// What has not begun, and what is free: halves of cores, and places for what takes half of one.
struct Free {
    waiting: Vec<Job>,
    free: usize,
    places: usize,
}

impl Free {
    /// The first job that fits beside those that run. No more half-busy jobs run at once than there are cores: at times each wants
    /// a whole core, and a browser story gives up when it waits too long.
    fn take(&mut self) -> Option<Job> {
        let fits =
            |job: &Job| job.share.halves() <= self.free && (job.share != Share::Half || self.places > 0);
        let at = self.waiting.iter().position(fits)?;
        let job = self.waiting.remove(at);
        self.free -= job.share.halves();
        self.places -= usize::from(job.share == Share::Half);
        Some(job)
    }

    fn give_back(&mut self, share: Share) {
        self.free += share.halves();
        self.places += usize::from(share == Share::Half);
    }
}

impl Job {
    fn key(&self) -> String {
        format!("{}/{}", self.step, self.name)
    }
}

/// What became of a job.
pub(crate) struct Done {
    pub(crate) step: &'static str,
    pub(crate) name: String,
    /// Why it failed, where it did.
    pub(crate) failed: Option<String>,
    pub(crate) took: Duration,
}

/// How long each job took when it last ran here, in seconds.
#[derive(Default)]
pub(crate) struct Times(BTreeMap<String, f64>);

impl Times {
    /// Those of the last run; none where there was none, or where they cannot be read: they only say what begins first.
    pub(crate) fn read(file: &Path) -> Self {
        let text = std::fs::read(file).unwrap_or_default();
        Self(serde_json::from_slice(&text).unwrap_or_default())
    }

    pub(crate) fn write(&self, file: &Path) -> Result<(), Trouble> {
        let text = serde_json::to_vec_pretty(&self.0).map_err(|source| Trouble::Json {
            what: "how long each job took".to_owned(),
            source,
        })?;
        std::fs::write(file, text).map_err(|source| Trouble::file("writing", file, source))
    }

    pub(crate) fn keep(&mut self, key: String, took: Duration) {
        self.0.insert(key, took.as_secs_f64());
    }

    /// Minutes of a step: its own, or those of all of its jobs together.
    pub(crate) fn minutes(&self, step: &str) -> Option<f64> {
        let of_it =
            |key: &str| key == step || key.strip_prefix(step).is_some_and(|rest| rest.starts_with('/'));
        let mut known = self.0.iter().filter(|(key, _)| of_it(key)).peekable();
        known.peek()?;
        Some(known.map(|(_, seconds)| seconds).sum::<f64>() / 60.0)
    }
}

/// Runs jobs on so many cores, the longest first by what they took the last time; one that never ran here comes before all
/// others, in the order given. What each says is kept in `told`.
pub(crate) fn run(
    mut jobs: Vec<Job>,
    cores: usize,
    told: &Path,
    times: &Times,
) -> Result<Vec<Done>, Trouble> {
    std::fs::create_dir_all(told).map_err(|source| Trouble::file("making", told, source))?;
    let length = |job: &Job| times.0.get(&job.key()).copied().unwrap_or(f64::INFINITY);
    jobs.sort_by(|one, other| length(other).total_cmp(&length(one)));
    let cores = cores.max(1);
    let workers = jobs.len().min(3 * cores);
    let bench = Mutex::new(Free {
        waiting: jobs,
        free: cores * Share::Whole.halves(),
        places: cores,
    });
    let freed = Condvar::new();
    let done = Mutex::new(Vec::new());
    let worker = || loop {
        let mut held = bench.lock().unwrap_or_else(PoisonError::into_inner);
        let job = loop {
            if let Some(job) = held.take() {
                break job;
            }
            if held.waiting.is_empty() {
                return;
            }
            held = freed.wait(held).unwrap_or_else(PoisonError::into_inner);
        };
        drop(held);
        let _lent = Lent {
            bench: &bench,
            freed: &freed,
            share: job.share,
        };
        let one = run_one(job, told);
        // Whoever reads along may have gone: what the jobs did is told by the table all the same.
        let _ = writeln!(std::io::stdout(), "{}", line(&one, told));
        done.lock().unwrap_or_else(PoisonError::into_inner).push(one);
    };
    std::thread::scope(|scope| {
        for _ in 0..workers {
            scope.spawn(worker);
        }
    });
    Ok(done.into_inner().unwrap_or_else(PoisonError::into_inner))
}

/// The share of a job while it runs. It is given back however the job ends, or those that wait for it would wait for ever.
struct Lent<'a> {
    bench: &'a Mutex<Free>,
    freed: &'a Condvar,
    share: Share,
}

impl Drop for Lent<'_> {
    fn drop(&mut self) {
        self.bench
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .give_back(self.share);
        self.freed.notify_all();
    }
}

fn run_one(mut job: Job, told: &Path) -> Done {
    let started = Instant::now();
    let file = said(told, job.step, &job.name);
    let ended = (|| {
        let trouble = |source| Trouble::file("writing", &file, source);
        let out = File::create(&file).map_err(trouble)?;
        let err = out.try_clone().map_err(trouble)?;
        wait(job.command.stdout(out).stderr(err), &job.name, LONGEST)
    })();
    let failed = match ended {
        Ok(status) if status.success() => None,
        Ok(status) => Some(format!("{} ended with {status}", job.name)),
        Err(trouble) => Some(trouble.to_string()),
    };
    Done {
        step: job.step,
        name: job.name,
        failed,
        took: started.elapsed(),
    }
}

/// Where a job's words are kept.
fn said(told: &Path, step: &str, name: &str) -> PathBuf {
    told.join(format!("{step}-{}.txt", name.replace('/', "-")))
}

/// A line for one that passed; the whole of what it said for one that did not.
fn line(done: &Done, told: &Path) -> String {
    let seconds = done.took.as_secs_f64();
    match &done.failed {
        None => format!("{:<10} {:<32} {seconds:>7.1} s", done.step, done.name),
        Some(why) => {
            let words = std::fs::read(said(told, done.step, &done.name)).unwrap_or_default();
            format!(
                "\n== {} {} FAILED after {seconds:.1} s: {why}\n{}\n== end of what {} said\n",
                done.step,
                done.name,
                String::from_utf8_lossy(&words),
                done.name
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn job(name: &str, script: &str) -> Job {
        let mut command = Command::new("sh");
        command.args(["-c", script]);
        Job {
            step: "rust",
            name: name.to_owned(),
            command,
            share: Share::Whole,
        }
    }

    #[test]
    fn one_that_fails_keeps_no_other_from_running_and_is_shown_whole() {
        let told = tempfile::tempdir().unwrap();
        let jobs = vec![
            job("one", "echo it broke; exit 3"),
            job("two", "echo all is well"),
        ];
        let mut done = run(jobs, 1, told.path(), &Times::default()).unwrap();
        done.sort_by(|one, other| one.name.cmp(&other.name));
        assert!(done[0].failed.as_deref().unwrap().contains("exit status: 3"));
        assert!(line(&done[0], told.path()).contains("it broke"));
        assert_eq!(done[1].failed, None);
        assert!(!line(&done[1], told.path()).contains("all is well"));
    }

    #[test]
    fn as_many_at_once_as_said() {
        let told = tempfile::tempdir().unwrap();
        // Each waits for the other: apart, neither would end well.
        let meet = |mine: &str, theirs: &str| {
            let place = told.path().display();
            format!(
                "touch '{place}/{mine}'; for _ in $(seq 200); do test -e '{place}/{theirs}' && exit 0; sleep 0.05; done; exit 1"
            )
        };
        let jobs = vec![job("one", &meet("a", "b")), job("two", &meet("b", "a"))];
        let done = run(jobs, 2, told.path(), &Times::default()).unwrap();
        assert!(done.iter().all(|one| one.failed.is_none()));
    }

    #[test]
    fn what_mostly_waits_runs_beside_what_works_and_no_core_is_given_twice() {
        let told = tempfile::tempdir().unwrap();
        let place = told.path().display();
        // Says that it has begun, and sees who runs beside it until it ends.
        let runs = |name: &str, share, seconds| Job {
            share,
            ..job(
                name,
                &format!(
                    "touch '{place}/{name}'; sleep {seconds}; ls '{place}' | grep -c '^whole' > '{place}/seen-by-{name}'; rm '{place}/{name}'"
                ),
            )
        };
        let jobs = vec![
            runs("whole-1", Share::Whole, 1.0),
            runs("whole-2", Share::Whole, 0.3),
            runs("half", Share::Half, 0.3),
            runs("little", Share::Little, 0.3),
        ];
        assert_eq!(run(jobs, 1, told.path(), &Times::default()).unwrap().len(), 4);
        let seen = |name: &str| std::fs::read_to_string(told.path().join(format!("seen-by-{name}"))).unwrap();
        assert_eq!([seen("whole-1"), seen("whole-2")], ["1\n", "1\n"], "one core");
        assert_eq!(seen("little"), "1\n", "it began beside the first");
        assert_eq!(seen("half"), "0\n");
    }

    #[test]
    fn what_took_longest_begins_first_and_what_is_new_before_it() {
        let told = tempfile::tempdir().unwrap();
        let mut times = Times::default();
        times.keep("rust/short".into(), Duration::from_secs(1));
        times.keep("rust/long".into(), Duration::from_secs(90));
        times.keep("house".into(), Duration::from_secs(30));
        let jobs = ["short", "long", "new"].map(|name| job(name, "true")).into();
        let order = run(jobs, 1, told.path(), &times).unwrap();
        assert_eq!(
            order.iter().map(|one| one.name.as_str()).collect::<Vec<_>>(),
            ["new", "long", "short"]
        );
        assert_eq!(
            times.minutes("rust").map(|minutes| (minutes * 60.0).round()),
            Some(91.0)
        );
        assert_eq!(times.minutes("house"), Some(0.5));
        assert_eq!(times.minutes("hou"), None);
    }
}
