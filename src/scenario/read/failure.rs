//! Failure modes and events of the site.

use crate::base::law::Law;
use crate::base::units::Dimension;
use crate::scenario::context::Context;
use crate::scenario::finding::Finding;
use crate::scenario::keys::*;
use crate::scenario::number::{self, Wanted};
use crate::scenario::rules;
use crate::scenario::spec::*;
use crate::scenario::table::Table;
use crate::scenario::tree::{Entry, Node, Value};
use crate::scenario::vocabulary::{Severity, Trigger, Vocabulary};

pub fn failure(t: &Table) -> FailureSpec {
    let when = t.word("when");
    let ages = ages(t, when.it);
    FailureSpec {
        on: t.texts("on"),
        when,
        law: ages.map_or_else(|| law(t, when.it), |ages| of_means(t, ages)),
        ages,
        worn: t.table_opt("worn", &WORN).map(|w| worn(&w, when.it)),
        shared: t.flag("shared"),
        effect: t.word("effect"),
        factor: t.num("factor"),
        holds: t.flag("holds"),
        dusty: t.num("dusty"),
        only_dusty: t.flag("only_dusty"),
        adds_up: t.flag("adds_up"),
        outdoors: t.flag("outdoors"),
        common: t.table_opt("common", &COMMON_CAUSE).map(|c| {
            c.provenance();
            (c.text("group"), c.num("beta"))
        }),
        noticed: t.word("noticed"),
        during: t.word_opt("during"),
        severity: severity(t),
        treatment: t.num_opt("treatment"),
        off_duty: off_duty(t),
        repair: t.table_opt("repair", &REPAIR).as_ref().map(repair),
    }
}

/// What a failure mode is exposed to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Exposure {
    Demand,
    Time,
    Distance,
}

impl Exposure {
    const ALL: [Exposure; 3] = [Exposure::Demand, Exposure::Time, Exposure::Distance];

    fn of(when: Trigger) -> Self {
        match when {
            Trigger::Opening
            | Trigger::Closing
            | Trigger::Holding
            | Trigger::Mating
            | Trigger::Unmating
            | Trigger::Start
            | Trigger::Sortie
            | Trigger::Transfer => Exposure::Demand,
            Trigger::Running | Trigger::HourOutside | Trigger::Hour => Exposure::Time,
            Trigger::Km => Exposure::Distance,
        }
    }

    /// The hazard that is wanted: probability and life in demands, or rate and life in its unit.
    fn wanted(self) -> Wanted {
        let (dimension, range, life) = match self {
            Exposure::Demand => (Dimension::Pure, Range::Fraction, Dimension::Pure),
            Exposure::Time => (Dimension::PerTime, Range::NonNegative, Dimension::Time),
            Exposure::Distance => (Dimension::PerLength, Range::NonNegative, Dimension::Length),
        };
        Wanted { life: Some(life), ..Wanted::new(dimension, Draw::Unknown, range) }
    }

    fn forms(self) -> &'static str {
        match self {
            Exposure::Demand => {
                "a probability such as 0.001, { probability = 0.001 }, { failures = 1, demands = \
                 956 }, or { life = 4000, shape = 2 } in demands"
            }
            Exposure::Time => {
                "a rate such as \"1e-4 /h\", { rate = \"1e-4 /h\" }, { events = 2, exposure = \
                 \"900 h\" }, or { life = \"4000 h\", shape = 2 }"
            }
            Exposure::Distance => {
                "a rate such as \"2e-4 /km\", { rate = \"2e-4 /km\" }, { events = 1, exposure = \
                 \"900 km\" }, or { life = \"4000 km\", shape = 2 }"
            }
        }
    }

    /// Would `node` be read without a finding?
    fn reads(self, node: &Node) -> bool {
        let scratch = Context::default();
        number::read(&scratch, node, self.wanted()).is_some() && scratch.is_clean()
    }
}

/// Life and shape of `{ life, shape }` where at least one of them is a table: a law of its own.
fn ages(t: &Table, when: Trigger) -> Option<[Num; 2]> {
    let node = t.node("law")?;
    let Value::Table(entries) = &node.value else {
        return None;
    };
    let part = |key: &str| entries.iter().find(|e| e.key == key).map(|e| &e.node);
    let parts = [part("life")?, part("shape")?];
    let law = |n: &&Node| matches!(n.value, Value::Table(_));
    let foreign = |e: &Entry| !["life", "shape", "source", "basis"].contains(&e.key.as_str());
    if !parts.iter().any(law) || entries.iter().any(foreign) {
        return None;
    }
    t.ctx.provenance(node.at, entries);
    let life = Exposure::of(when).wanted().life.unwrap_or(Dimension::Pure);
    let wanted =
        |d: Dimension| Wanted { life: None, ..Wanted::new(d, Draw::Unknown, Range::Positive) };
    let read = |node: &Node, d: Dimension| {
        number::read(t.ctx, node, wanted(d)).unwrap_or_else(|| number::placeholder(node.at))
    };
    Some([read(parts[0], life), read(parts[1], Dimension::Pure)])
}

/// `worn`: its age is counted as the law of a life would be.
fn worn(t: &Table, when: Trigger) -> WornSpec {
    t.provenance();
    let life = Exposure::of(when).wanted().life.unwrap_or(Dimension::Pure);
    let wanted = Wanted::new(life, Draw::Unknown, Range::NonNegative);
    let from = t.node("from").and_then(|node| number::read(t.ctx, node, wanted));
    WornSpec {
        from: from.unwrap_or_else(|| number::placeholder(t.at)),
        factor: t.num("factor"),
        at: t.at,
    }
}

/// What stands for a Weibull law with an uncertain life where only its kind matters.
fn of_means(t: &Table, [life, shape]: [Num; 2]) -> Num {
    let at = t.node("law").map_or(t.at, |n| n.at);
    let law = Law::Weibull { life: life.law.mean(), shape: shape.law.mean() };
    Num { law, per: None, at }
}

fn law(t: &Table, when: Trigger) -> Num {
    let Some(node) = t.node("law") else {
        return number::placeholder(t.at);
    };
    let exposure = Exposure::of(when);
    let other = |e: &Exposure| *e != exposure && e.reads(node);
    // A law that another exposure would read is no slip in the law itself: it and `when` disagree.
    if !exposure.reads(node) && Exposure::ALL.iter().any(other) {
        let word = when.word();
        let what = format!("the law does not fit when = \"{word}\"");
        let remedy = format!("write {}", exposure.forms());
        let finding = Finding::new(&rules::FAILURE_LAW, node.at, what);
        t.ctx.report(finding.remedy(remedy));
        return number::placeholder(node.at);
    }
    number::read(t.ctx, node, exposure.wanted()).unwrap_or_else(|| number::placeholder(node.at))
}

/// `off_duty`: a time, or `"for good"`, which is read as an infinite one.
fn off_duty(t: &Table) -> Num {
    let wanted = Wanted::time(Draw::Varies);
    let Some(node) = t.node("off_duty") else {
        let read = t.default("off_duty", wanted);
        return read.unwrap_or_else(|| number::placeholder(t.at));
    };
    match &node.value {
        Value::Text(text) if text == "for good" => {
            Num { law: Law::Fixed(f64::INFINITY), per: None, at: node.at }
        }
        _ => number::read(t.ctx, node, wanted).unwrap_or_else(|| number::placeholder(node.at)),
    }
}

/// `severity`: one word, or shares of several.
fn severity(t: &Table) -> Option<Spot<[f64; 3]>> {
    let node = t.node("severity")?;
    let mut shares = [0.0; 3];
    let Value::Table(entries) = &node.value else {
        shares[t.ctx.word::<Severity>(node).unwrap_or(Severity::Carried) as usize] = 1.0;
        return Some(Spot { it: shares, at: node.at });
    };
    for e in entries {
        match Severity::parse(&e.key) {
            Some(s) => {
                let share = number::read(t.ctx, &e.node, Wanted::share(Draw::Structural));
                shares[s as usize] = share.and_then(|n| n.law.fixed()).unwrap_or(0.0);
            }
            None => t
                .ctx
                .wrong(&e.node, "a severity: walks with help, must be carried or time-critical"),
        }
    }
    let sum: f64 = shares.iter().sum();
    if (sum - 1.0).abs() > 1e-9 {
        let what = format!("the shares of the severities add up to {sum}");
        t.ctx.report(Finding::new(&rules::SHARES_SUM, node.at, what));
    }
    Some(Spot { it: shares, at: node.at })
}

fn repair(t: &Table) -> RepairSpec {
    t.provenance();
    RepairSpec {
        takes: t.num("takes"),
        crew: t.count("crew"),
        spare: t.text_opt("spare"),
        success: t.num("success"),
        without_spare: t.num_opt("without_spare"),
        from: t.word("from"),
        renews: t.word("renews"),
        replace_every: t.num_opt("replace_every"),
        at: t.at,
    }
}

pub fn event(t: &Table) -> EventSpec {
    t.one_of(&["rate", "every"]);
    EventSpec {
        rate: t.num_opt("rate"),
        every: t.num_opt("every"),
        first: t.num("first"),
        warning: t.num("warning"),
        lasts: t.num("lasts"),
        effect: t.word("effect"),
        shelter: t.flag("shelter"),
        season: t.table_opt("season", &SEASON).as_ref().map(season),
        rovers_return: t.flag("rovers_return"),
    }
}

fn season(t: &Table) -> SeasonSpec {
    t.provenance();
    SeasonSpec { first: t.num("first"), lasts: t.num("lasts"), every: t.num("every"), at: t.at }
}
