//! Named, timed steps, told as a table at the end: first those that make something, in order; then the jobs of the others,
//! beside each other. A step whose maker failed does not run; every other does, so that one run tells of everything.
//!
//! It never hides a step: one that did not run is said to have not run, and never counts as passed.

use std::path::Path;
use std::time::{Duration, Instant};

use crate::beside::{self, Job, Times};
use crate::trouble::Trouble;

/// What became of a step.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Outcome {
    Passed,
    Failed(String),
    /// What it needs did not pass.
    NotRun(&'static str),
}

/// What a step does.
pub(crate) enum Work<'a> {
    /// Work of its own, on which others may stand.
    InTurn(Box<dyn Fn() -> Result<(), Trouble> + 'a>),
    /// Programs that may run beside everything else that comes after the steps in turn.
    Beside(Box<dyn Fn() -> Result<Vec<Job>, Trouble> + 'a>),
}

/// One step of a task.
pub(crate) struct Step<'a> {
    /// A short name without spaces, as `--only` takes it.
    pub(crate) name: &'static str,
    /// What it makes sure of, for `--list`.
    pub(crate) about: &'static str,
    /// The steps without which it cannot run.
    pub(crate) needs: &'static [&'static str],
    /// The work.
    pub(crate) work: Work<'a>,
}

/// Where a run keeps what it knows of itself, and on how many cores it works.
pub(crate) struct Bench<'a> {
    /// A file of how long each step and job took.
    pub(crate) times: &'a Path,
    /// A folder of what each job said.
    pub(crate) told: &'a Path,
    pub(crate) cores: usize,
}

/// The table of a finished task.
#[must_use = "the table says whether the task passed"]
pub(crate) struct Table {
    rows: Vec<(&'static str, Outcome, Duration)>,
    whole: Duration,
}

/// Runs the steps whose names `wanted` holds (all, when it is empty).
pub(crate) fn go(steps: &[Step<'_>], wanted: &[String], bench: &Bench<'_>) -> Result<Table, Trouble> {
    for name in wanted {
        if !steps.iter().any(|step| step.name == name) {
            return Err(Trouble::words(format!(
                "there is no step `{name}`; `--list` names them all"
            )));
        }
    }
    let began = Instant::now();
    let mut times = Times::read(bench.times);
    let mut rows = Vec::new();
    let mut jobs = Vec::new();
    for step in steps
        .iter()
        .filter(|step| wanted.is_empty() || wanted.iter().any(|name| name == step.name))
    {
        if let Some(missing) = not_there(step, &rows) {
            rows.push((step.name, Outcome::NotRun(missing), Duration::ZERO));
            continue;
        }
        let started = Instant::now();
        let worked = match &step.work {
            Work::InTurn(work) => {
                println!("\n== {}: {}", step.name, step.about);
                work()
            }
            Work::Beside(list) => list().map(|more| jobs.extend(more)),
        };
        let outcome = worked.map_or_else(
            |trouble| {
                println!("== {} FAILED: {trouble}", step.name);
                Outcome::Failed(trouble.to_string())
            },
            |()| Outcome::Passed,
        );
        let took = started.elapsed();
        if matches!(step.work, Work::InTurn(_)) && outcome == Outcome::Passed {
            times.keep(step.name.to_owned(), took);
        }
        rows.push((step.name, outcome, took));
    }
    if !jobs.is_empty() {
        println!(
            "\n== beside each other, on {} cores: {} jobs",
            bench.cores,
            jobs.len()
        );
        for done in beside::run(jobs, bench.cores, bench.told, &times)? {
            times.keep(format!("{}/{}", done.step, done.name), done.took);
            let Some((_, outcome, took)) = rows.iter_mut().find(|(name, ..)| *name == done.step) else {
                continue;
            };
            *took += done.took;
            if let Some(why) = done.failed {
                *outcome = match outcome {
                    Outcome::Failed(before) => Outcome::Failed(format!("{before}; {why}")),
                    _ => Outcome::Failed(why),
                };
            }
        }
    }
    times.write(bench.times)?;
    Ok(Table {
        rows,
        whole: began.elapsed(),
    })
}

/// The first step that this one needs, and that was to run and did not pass.
fn not_there(step: &Step<'_>, rows: &[(&'static str, Outcome, Duration)]) -> Option<&'static str> {
    let missing = |need: &&&'static str| {
        let row = rows.iter().find(|(name, ..)| *name == **need);
        row.is_some_and(|(_, outcome, _)| *outcome != Outcome::Passed)
    };
    step.needs.iter().find(missing).copied()
}

impl Table {
    /// The table as text; its last line is the counts alone.
    pub(crate) fn text(&self) -> String {
        let mut text = String::from("\nstep            seconds\n");
        for (name, outcome, took) in &self.rows {
            let told = match outcome {
                Outcome::Passed => "passed".to_owned(),
                Outcome::Failed(why) => format!("FAILED  {}", why.lines().next().unwrap_or_default()),
                Outcome::NotRun(missing) => format!("not run: it needs {missing}"),
            };
            text.push_str(&format!("{name:<14} {:>8.1}  {told}\n", took.as_secs_f64()));
        }
        let work: Duration = self.rows.iter().map(|(_, _, took)| *took).sum();
        text.push_str(&format!("{:<14} {:>8.1}\n", "work", work.as_secs_f64()));
        let whole = self.whole.as_secs_f64();
        text.push_str(&format!(
            "{:<14} {whole:>8.1}  {:.1} minutes\n",
            "by the clock",
            whole / 60.0
        ));
        let not_run = self
            .rows
            .iter()
            .filter(|(_, outcome, _)| matches!(outcome, Outcome::NotRun(_)))
            .count();
        if not_run > 0 {
            text.push_str(&format!("{not_run} not run\n"));
        }
        text.push_str(&format!("{} passed, {} failed\n", self.passed(), self.failed()));
        text
    }

    fn passed(&self) -> usize {
        self.rows
            .iter()
            .filter(|(_, outcome, _)| *outcome == Outcome::Passed)
            .count()
    }

    /// How many steps failed.
    pub(crate) fn failed(&self) -> usize {
        self.rows
            .iter()
            .filter(|(_, outcome, _)| matches!(outcome, Outcome::Failed(_)))
            .count()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::RefCell;
    use std::process::Command;

    fn shell(step: &'static str, script: &str) -> Job {
        let mut command = Command::new("sh");
        command.args(["-c", script]);
        Job {
            step,
            name: "job".to_owned(),
            command,
            share: beside::Share::Whole,
        }
    }

    /// `one` passes, `two` fails, `three` needs two, `four` runs beside the rest, `five` does and needs one.
    fn five<'a>(ran: &'a RefCell<Vec<&'static str>>, fourth: &'static str) -> Vec<Step<'a>> {
        let in_turn = |name: &'static str, needs: &'static [&'static str]| Step {
            name,
            about: "",
            needs,
            work: Work::InTurn(Box::new(move || {
                ran.borrow_mut().push(name);
                if name == "two" {
                    Err(Trouble::words("it broke"))
                } else {
                    Ok(())
                }
            })),
        };
        let beside = |name: &'static str, needs: &'static [&'static str], script: &'static str| Step {
            name,
            about: "",
            needs,
            work: Work::Beside(Box::new(move || Ok(vec![shell(name, script)]))),
        };
        vec![
            in_turn("one", &[]),
            in_turn("two", &["one"]),
            in_turn("three", &["two"]),
            beside("four", &[], fourth),
            beside("five", &["one"], "exit 0"),
        ]
    }

    fn table(wanted: &[&str], fourth: &'static str) -> (Vec<&'static str>, Result<Table, Trouble>) {
        let place = tempfile::tempdir().unwrap();
        let bench = Bench {
            times: &place.path().join("times.json"),
            told: place.path(),
            cores: 2,
        };
        let ran = RefCell::default();
        let wanted: Vec<String> = wanted.iter().map(|name| (*name).to_owned()).collect();
        let table = go(&five(&ran, fourth), &wanted, &bench);
        (ran.into_inner(), table)
    }

    #[test]
    fn a_failure_keeps_only_those_from_running_that_need_it() {
        let (ran, table) = table(&[], "exit 0");
        let text = table.unwrap().text();
        assert_eq!(ran, ["one", "two"]);
        assert!(text.contains("not run: it needs two"), "{text}");
        assert!(text.ends_with("1 not run\n3 passed, 1 failed\n"), "{text}");
    }

    #[test]
    fn a_job_that_fails_is_its_steps_failure() {
        let (_, table) = table(&["one", "four", "five"], "exit 7");
        let table = table.unwrap();
        assert_eq!(table.failed(), 1);
        assert!(table.text().contains("exit status: 7"), "{}", table.text());
    }

    #[test]
    fn only_the_wanted_step_runs_and_an_unknown_one_is_refused() {
        let (ran, table_of_one) = table(&["three"], "exit 0");
        let text = table_of_one.unwrap().text();
        assert_eq!(ran, ["three"]);
        assert!(text.ends_with("\n1 passed, 0 failed\n"), "{text}");
        assert!(table(&["six"], "exit 0").1.is_err());
    }
}
