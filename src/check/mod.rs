//! Is it coherent: every finding at once. Scenario -> [`Checked`], the only thing that compiles.

pub mod rules;
mod walks;

pub use crate::scenario::{AppliedBy, Finding, Level, Rule};
pub use walks::Walk;

use crate::layout::{self, Layout};
use crate::scenario::{At, Scenario};

/// A scenario in which no error was found, with every architecture resolved and walked.
#[derive(Clone, Debug)]
pub struct Checked {
    /// What was written.
    pub scenario: Scenario,
    /// One per architecture, in file order.
    pub arms: Vec<CheckedArm>,
}

/// One architecture that holds together.
#[derive(Clone, Debug)]
pub struct CheckedArm {
    /// Places and rows.
    pub layout: Layout,
    /// Dry walks, parallel to [`Layout::lists`].
    pub walks: Vec<Walk>,
}

/// Checks a scenario: all findings, and what was accepted if none is an error.
pub fn check(scenario: Scenario) -> (Option<Checked>, Vec<Finding>) {
    let mut findings = Vec::new();
    let mut arms = Vec::new();
    let team = scenario
        .activities
        .iter()
        .map(|a| a.it.team.it)
        .max()
        .unwrap_or(1);
    for i in 0..scenario.architectures.len() {
        let (layout, complaints) = layout::build(&scenario, i);
        let mut say = Sayer {
            out: &mut findings,
            architecture: &scenario.architectures[i].name,
        };
        let broken = !complaints.is_empty();
        complaints.into_iter().for_each(|c| say.complaint(c));
        if broken {
            continue;
        }
        let walks = walks::walk_all(&layout, team, &mut say);
        arms.push(CheckedArm { layout, walks });
    }
    let accepted = !findings.iter().any(Finding::is_error);
    (accepted.then_some(Checked { scenario, arms }), findings)
}

/// Makes findings of one architecture.
struct Sayer<'a> {
    out: &'a mut Vec<Finding>,
    architecture: &'a str,
}

impl Sayer<'_> {
    fn rule(&mut self, rule: &Rule, at: At, what: String) {
        self.push(Finding::new(rule, at, what).architecture(self.architecture));
    }

    fn complaint(&mut self, c: layout::Complaint) {
        let rule = rules::by_id(c.rule);
        self.push(
            Finding::new(rule, c.at, c.what)
                .remedy(c.remedy)
                .architecture(self.architecture),
        );
    }

    /// The same finding in several architectures is said once, for the first.
    fn push(&mut self, f: Finding) {
        let same = |g: &Finding| g.rule == f.rule && g.at == f.at && g.what == f.what;
        if !self.out.iter().any(same) {
            self.out.push(f);
        }
    }
}
