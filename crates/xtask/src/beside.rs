//! Jobs that need nothing of each other, as many at once as the machine has cores. What a job says goes to a file of its own,
//! so that two never speak into one another, and is shown whole where the job failed.
//!
//! It never runs more at once than there are cores, and a job that fails keeps no other from running.

use std::collections::BTreeMap;
use std::fs::File;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Mutex;
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

/// Runs jobs, the longest first by what they took the last time; one that never ran here comes before all others, in the
/// order given. What each says is kept in `told`.
pub(crate) fn run(
    mut jobs: Vec<Job>,
    at_once: usize,
    told: &Path,
    times: &Times,
) -> Result<Vec<Done>, Trouble> {
    std::fs::create_dir_all(told).map_err(|source| Trouble::file("making", told, source))?;
    let length = |job: &Job| times.0.get(&job.key()).copied().unwrap_or(f64::INFINITY);
    jobs.sort_by(|one, other| length(other).total_cmp(&length(one)));
    let waiting = Mutex::new(jobs.into_iter());
    let done = Mutex::new(Vec::new());
    std::thread::scope(|scope| {
        for _ in 0..at_once.max(1) {
            scope.spawn(|| {
                // The lock is let go at the end of the statement, before the job begins.
                while let Some(job) = { waiting.lock().map_or(None, |mut waiting| waiting.next()) } {
                    let one = run_one(job, told);
                    if let Ok(mut done) = done.lock() {
                        println!("{}", line(&one, told));
                        done.push(one);
                    }
                }
            });
        }
    });
    done.into_inner()
        .map_err(|_| Trouble::words("a worker of the jobs panicked"))
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
