//! Named, timed steps: run in order, stopped at the first failure (or not), told as a table at the end.
//!
//! It never hides a step: one that did not run is said to have not run, and never counts as passed.

use std::time::{Duration, Instant};

use crate::trouble::Trouble;

/// What became of a step.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Outcome {
    Passed,
    Failed(String),
    NotRun,
}

/// One step of a task.
pub(crate) struct Step<'a> {
    /// A short name without spaces, as `--only` takes it.
    pub(crate) name: &'static str,
    /// What it makes sure of, for `--list`.
    pub(crate) about: &'static str,
    /// The work.
    pub(crate) work: Box<dyn Fn() -> Result<(), Trouble> + 'a>,
}

/// The table of a finished task.
#[must_use = "the table says whether the task passed"]
pub(crate) struct Table {
    rows: Vec<(&'static str, Outcome, Duration)>,
}

/// Runs the steps whose names `wanted` holds (all, when it is empty).
pub(crate) fn go(steps: &[Step<'_>], wanted: &[String], keep_going: bool) -> Result<Table, Trouble> {
    for name in wanted {
        if !steps.iter().any(|step| step.name == name) {
            return Err(Trouble::words(format!(
                "there is no step `{name}`; `--list` names them all"
            )));
        }
    }
    let mut table = Table { rows: Vec::new() };
    let mut stopped = false;
    for step in steps
        .iter()
        .filter(|step| wanted.is_empty() || wanted.iter().any(|name| name == step.name))
    {
        if stopped {
            table.rows.push((step.name, Outcome::NotRun, Duration::ZERO));
            continue;
        }
        println!("\n== {}: {}", step.name, step.about);
        let started = Instant::now();
        let outcome = match (step.work)() {
            Ok(()) => Outcome::Passed,
            Err(trouble) => {
                println!("== {} FAILED: {trouble}", step.name);
                stopped = !keep_going;
                Outcome::Failed(trouble.to_string())
            }
        };
        table.rows.push((step.name, outcome, started.elapsed()));
    }
    Ok(table)
}

impl Table {
    /// The table as text; its last line is the counts alone.
    pub(crate) fn text(&self) -> String {
        let mut text = String::from("\nstep            seconds\n");
        for (name, outcome, took) in &self.rows {
            let told = match outcome {
                Outcome::Passed => "passed".to_owned(),
                Outcome::Failed(why) => format!("FAILED  {}", why.lines().next().unwrap_or_default()),
                Outcome::NotRun => "not run".to_owned(),
            };
            text.push_str(&format!("{name:<14} {:>8.1}  {told}\n", took.as_secs_f64()));
        }
        let total: Duration = self.rows.iter().map(|(_, _, took)| *took).sum();
        text.push_str(&format!("{:<14} {:>8.1}\n", "total", total.as_secs_f64()));
        let not_run = self
            .rows
            .iter()
            .filter(|(_, outcome, _)| *outcome == Outcome::NotRun)
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

    fn three<'a>(ran: &'a RefCell<Vec<&'static str>>) -> Vec<Step<'a>> {
        ["one", "two", "three"]
            .into_iter()
            .map(|name| Step {
                name,
                about: "",
                work: Box::new(move || {
                    ran.borrow_mut().push(name);
                    if name == "two" {
                        Err(Trouble::words("it broke"))
                    } else {
                        Ok(())
                    }
                }),
            })
            .collect()
    }

    #[test]
    fn the_first_failure_stops_and_is_counted() {
        let ran = RefCell::default();
        let table = go(&three(&ran), &[], false).unwrap();
        assert_eq!(*ran.borrow(), ["one", "two"]);
        assert_eq!(table.failed(), 1);
        assert!(
            table.text().ends_with("1 not run\n1 passed, 1 failed\n"),
            "{}",
            table.text()
        );
    }

    #[test]
    fn keep_going_runs_the_rest() {
        let ran = RefCell::default();
        let table = go(&three(&ran), &[], true).unwrap();
        assert_eq!(*ran.borrow(), ["one", "two", "three"]);
        assert!(
            table.text().ends_with("\n2 passed, 1 failed\n"),
            "{}",
            table.text()
        );
    }

    #[test]
    fn only_the_wanted_step_runs_and_an_unknown_one_is_refused() {
        let ran = RefCell::default();
        let table = go(&three(&ran), &["three".into()], false).unwrap();
        assert_eq!(*ran.borrow(), ["three"]);
        assert!(
            table.text().ends_with("\n1 passed, 0 failed\n"),
            "{}",
            table.text()
        );
        assert!(go(&three(&ran), &["four".into()], false).is_err());
    }
}
