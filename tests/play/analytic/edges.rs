//! Edges of what can be asked: havens without suits, sorties without work, campaigns without sorties,
//! and the last day.

use super::played::*;
use crate::support::{Case, play, value};

/// A second habitat with a lock and no suit of its own: people come in by it from elsewhere.
fn annex() -> Case {
    let names = "names = [\"Ada\", \"Ben\", \"Cleo\"]";
    let base = Case::base().patch(names, &format!("{names}\nhome = \"habitat\""));
    let from = base.campaign.find("[element.habitat]").expect("the habitat");
    let to = base.campaign.find("[suit.plain]").expect("the suits");
    let annex = base.campaign[from..to].replace("habitat]", "annex]");
    base.add(&format!(
        "{annex}[architecture.lock.port.side]\nelement = \"annex\"\naccess = \"plain-lock\"\n"
    ))
}

#[test]
fn a_port_that_is_a_haven_alone_needs_no_suits() {
    let m = annex().model();
    let o = play(&m, 0);
    identities(&o, "a haven elsewhere");
    assert_eq!(value(&o, "sorties_done"), f64::from(SORTIES));
    // An activity that starts there is another matter.
    let more = "[activity.there]\nfrom = \"annex\"\nports = [\"side\"]\nteam = 1\ncrew = [\"Cleo\"]\n\
                per_week = 1\nhours = \"1 h\"\ndust = \"1 g\"\n";
    let said = annex().add(more).checked().expect_err("no suits");
    assert!(said.contains("suits-short"), "{said}");
}

/// A sortie of no hours: out, and in at once; the rest of its rows cost what they cost.
#[test]
fn a_sortie_may_want_no_hours() {
    let case = Case::whole().patch("hours = \"4 h\"", "hours = \"0 h\"");
    let o = play(&case.model(), 0);
    identities(&o, "no hours");
    assert_eq!(value(&o, "sorties_done"), f64::from(SORTIES));
    assert_eq!(value(&o, "eva_done_h"), 0.0);
    assert_eq!(value(&o, "eva_planned_h"), 0.0);
    near(value(&o, "door_to_door_min"), egress() + TO_SAFE + AFTER_SAFE, "door to door");
    // Two suits leak 2 g/h less for four hours of nine sorties.
    let full = value(&play(&Case::whole().model(), 0), "gas_lost_kg");
    near(value(&o, "gas_lost_kg"), full - 2.0 * 2e-3 * 4.0 * f64::from(SORTIES), "gas");
}

/// Nothing but a habitat that leaks: 100 g a day for 30 days.
#[test]
fn a_study_of_leaks_alone() {
    let base = Case::base();
    let cut = |text: &str, from: &str, to: &str| {
        let (a, b) = (text.find(from).expect(from), text.find(to).expect(to));
        format!("{}{}", &text[..a], &text[b..])
    };
    let text = cut(&base.campaign, "[suit.plain]", "[store.gas]");
    let end = text.find("[architecture.lock]").expect("the architecture");
    let text = format!("{}[architecture.none]\n", &text[..end])
        .replace(
            "resuspension = \"0 /h\"",
            "resuspension = \"0 /h\"\nleak = \"100 g/d\"\nstore = \"gas\"",
        )
        .replace("include = [\"access/plain-lock.toml\"]", "");
    let m = Case { campaign: text, access: Vec::new() }.model();
    let o = play(&m, 0);
    near(value(&o, "gas_lost_kg"), 3.0, "leaks");
    assert_eq!(value(&o, "sorties_planned"), 0.0);
}
