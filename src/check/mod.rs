//! Is it coherent: every finding at once. Scenario -> [`Checked`], the only thing that compiles.
//!
//! First what holds whatever the architecture, then each architecture: its parts, who uses them,
//! and the dry walks. A later stage is left out only where an earlier one took its footing away.

mod aborts;
mod answers;
mod causes;
mod compat;
mod crew;
mod docks;
mod dusty;
mod failures;
mod names;
mod orbit;
mod purges;
mod ranges;
mod repairs;
mod review;
mod rows;
pub mod rules;
mod singles;
mod spaces;
mod starts;
mod suits;
mod walks;

pub use crate::scenario::{AppliedBy, Finding, Level, Rule};
pub use answers::{ANSWER_RULES, answers};
pub use singles::Single;
pub use walks::Walk;

use crate::plan::{self, Layout};
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
    /// Single failures that leave no way back.
    pub singles: Vec<Single>,
}

/// Checks a scenario: all findings, and what was accepted if none is an error.
pub fn check(scenario: Scenario) -> (Option<Checked>, Vec<Finding>) {
    let mut findings = Vec::new();
    let mut arms = Vec::new();
    if whole(&scenario, &mut findings) {
        for i in 0..scenario.architectures.len() {
            arms.extend(arm(&scenario, i, &mut findings));
        }
        names::unresolved(&scenario, &arms, &mut Sayer::new(&mut findings));
    }
    // The files are the order a person reads in; findings of one place keep the order of checks.
    findings.sort_by_key(|f| f.at);
    let accepted = !findings.iter().any(Finding::is_error);
    (accepted.then_some(Checked { scenario, arms }), findings)
}

/// Where lognormal laws of probabilities stand: values above 1 count as 1.
pub fn capped(s: &Scenario) -> Vec<At> {
    ranges::capped(s)
}

/// What needs no layout. False if the scenario is too large to be laid out.
fn whole(s: &Scenario, findings: &mut Vec<Finding>) -> bool {
    let mut say = Sayer::new(findings);
    let sized = ranges::sizes(s, &mut say);
    ranges::numbers(s, &mut say);
    names::whole(s, &mut say);
    crew::whole(s, &mut say);
    failures::whole(s, &mut say);
    spaces::whole(s, &mut say);
    rows::whole(s, &mut say);
    suits::whole(s, &mut say);
    compat::whole(s, &mut say);
    dusty::whole(s, &mut say);
    review::whole(s, &mut say);
    sized
}

/// One architecture; `None` if it could not be resolved.
fn arm(s: &Scenario, index: usize, findings: &mut Vec<Finding>) -> Option<CheckedArm> {
    let spec = &s.architectures[index];
    let (layout, complaints) = plan::build(s, index);
    let mut say = Sayer::of(findings, &spec.name);
    let broken = !complaints.is_empty();
    causes::causes(&spec.it, complaints).into_iter().for_each(|c| say.complaint(c));
    let footing = spaces::elements(&spec.it, &mut say);
    if !ranges::laid_out(&layout, spec.at, &mut say) || broken {
        return None;
    }
    let a = Arm { s, spec: &spec.it, at: spec.at, l: &layout };
    let footing = spaces::arm(&a, &mut say) && footing;
    rows::arm(&a, &mut say);
    let team = crew::arm(&a, &mut say);
    suits::arm(&a, &mut say);
    compat::arm(&a, &mut say);
    orbit::arm(&a, &mut say);
    purges::arm(&a, team, &mut say);
    review::arm(&a, &mut say);
    // A walk between rooms that cannot be as they are written would only repeat it, row by row.
    let walks = match footing {
        true => walks::walk_all(&layout, team, &mut say),
        false => vec![Walk::default(); layout.lists.len()],
    };
    let singles = if footing { singles::singles(&a, team, &mut say) } else { Vec::new() };
    Some(CheckedArm { layout, walks, singles })
}

/// One architecture as written and as resolved.
struct Arm<'a> {
    s: &'a Scenario,
    spec: &'a crate::scenario::ArchitectureSpec,
    at: At,
    l: &'a Layout,
}

/// Makes findings, of one architecture or of all.
struct Sayer<'a> {
    out: &'a mut Vec<Finding>,
    architecture: Option<&'a str>,
}

impl<'a> Sayer<'a> {
    fn new(out: &'a mut Vec<Finding>) -> Self {
        let architecture = None;
        Sayer { out, architecture }
    }

    fn of(out: &'a mut Vec<Finding>, architecture: &'a str) -> Self {
        let architecture = Some(architecture);
        Sayer { out, architecture }
    }

    fn rule(&mut self, rule: &Rule, at: At, what: String) {
        self.push(Finding::new(rule, at, what));
    }

    /// With a remedy that knows more than the general one.
    fn with(&mut self, rule: &Rule, at: At, what: String, remedy: String) {
        self.push(Finding::new(rule, at, what).remedy(remedy));
    }

    fn complaint(&mut self, c: plan::Complaint) {
        self.with(rules::by_id(c.rule), c.at, c.what, c.remedy);
    }

    /// The same finding in several architectures is said once, for the first.
    fn push(&mut self, f: Finding) {
        let same = |g: &Finding| g.rule == f.rule && g.at == f.at && g.what == f.what;
        if !self.out.iter().any(same) {
            let architecture = self.architecture.map(str::to_string);
            self.out.push(Finding { architecture, ..f });
        }
    }
}
