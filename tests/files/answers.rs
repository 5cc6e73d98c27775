//! What `check` says of the demo campaigns without playing anything, against hand arithmetic.

use std::path::Path;
use vestibule::check::{self, Checked, Finding};
use vestibule::scenario::read;

fn checked(file: &str) -> (Checked, Vec<Finding>) {
    let reading = read(&Path::new(env!("CARGO_MANIFEST_DIR")).join(file));
    let (checked, findings) = check::check(reading.scenario.expect(file));
    (checked.expect(file), findings)
}

fn told(answers: &[Finding], rule: &str, architecture: &str) -> Vec<String> {
    // What holds for all architectures names none.
    let holds = |f: &&Finding| f.architecture.as_deref().is_none_or(|a| a == architecture);
    let those = answers.iter().filter(|f| f.rule == rule).filter(holds);
    those.map(|f| f.what.clone()).collect()
}

/// Tissue nitrogen of 70.3 kPa x 0.735 comes down to 1.65 x 29.6 kPa while 5 % of 70.3 kPa is breathed:
/// 360 min / ln 2 x ln((51.67 - 3.515) / (48.84 - 3.515)) = 31.5 min.
#[test]
fn prebreathe_of_a_pair_of_pressures() {
    let (c, _) = checked("runs/larkspur/campaign.toml");
    let answers = check::answers(&c);
    let (tissue, breathed, target): (f64, f64, f64) = (70.3 * 0.735, 70.3 * 0.05, 1.65 * 29.6);
    let minutes: f64 = 360.0 / 2.0_f64.ln() * ((tissue - breathed) / (target - breathed)).ln();
    assert!((minutes - 31.5).abs() < 0.1, "{minutes}");
    let first = told(&answers, "prebreathe-time", "single-chamber");
    assert!(first[0].contains(&format!("{minutes:.0} min by tissue nitrogen")), "{first:?}");
    // At 56.5 kPa and 34 % O2 the protocol's least decides: 37.29 kPa is below the target already.
    let low = told(&answers, "prebreathe-time", "suitport-pair");
    assert!(low[0].contains("15 min of prebreathe (0 min by tissue nitrogen"), "{low:?}");
}

#[test]
fn vacuum_dust_havens_and_care_of_suits() {
    let (c, _) = checked("runs/larkspur/campaign.toml");
    let answers = check::answers(&c);
    let of = |rule: &str, arm: &str| told(&answers, rule, arm).join("\n");
    let vacuum = of("stands-vacuum", "dual-chamber");
    assert!(
        vacuum.contains("depressurised in planned sorties: `habitat/main/cycling`"),
        "{vacuum}"
    );
    assert!(vacuum.contains("`habitat/main/dressing` by `other-chamber-as-lock`"), "{vacuum}");
    let dust = of("meets-dust", "single-chamber");
    assert!(dust.starts_with("entered in suits by planned ingress: `habitat/main/lock`"), "{dust}");
    assert!(dust.contains("`habitat/cabin` (which does not tolerate dust)"), "{dust}");
    let havens = of("haven-plan", "single-chamber");
    assert!(havens.contains("places for a crew of 5: `habitat` 5 for 60 days"), "{havens}");
    assert!(of("suit-indoors", "suitport-pair").contains("hang outdoors and are carried in"));
    let panel = of("suit-recharge", "suitport-pair");
    assert!(panel.contains("through the wall from `habitat/cabin`, suit outdoors"), "{panel}");
}

/// 0.85 m over the back plate against 0.91 m, also of the element that stays in orbit; 8.3 psi = 57.2 kPa
/// against 56.5 kPa and half a band of 0.34 kPa.
#[test]
fn suits_against_hatches_and_ports() {
    let (c, _) = checked("runs/larkspur/campaign.toml");
    let answers = check::answers(&c);
    let fits = told(&answers, "suit-fits", "suitports-on-both").join("\n");
    assert!(
        fits.contains("`rear-entry` is 0.85 m wide") && fits.contains("0.06 m to spare"),
        "{fits}"
    );
    let orbit = told(&answers, "suit-fits", "single-chamber").join("\n");
    assert!(orbit.contains("`waystation/axial`"), "{orbit}");
    let margin = told(&answers, "port-margin", "suitport-pair").join("\n");
    assert!(
        margin.contains("is allowed 57.2 kPa at a port and sees 56.8 kPa at `main`"),
        "{margin}"
    );
}

/// The element that stays in orbit: 70.3 kPa x 0.735 = 51.7 kPa of nitrogen over 56.5 kPa is 0.91. Five
/// suits with 5 g, of which a mean of 1/3 comes off and a tenth is below 10 um, bring 0.83 g; the filter passes
/// 300 m3/h, all of it within a day: 833 mg / (0.9997 x 300 m3/h x 24 h) = 0.116 mg/m3.
#[test]
fn orbit_against_crew_air_dust() {
    let (c, findings) = checked("runs/larkspur/campaign.toml");
    let answers = check::answers(&c);
    let high = told(&answers, "in-orbit", "single-chamber").join("\n");
    assert!(high.contains("the nitrogen ratio is 0.73 of 1.65"), "{high}");
    let low = told(&answers, "in-orbit", "suitport-pair").join("\n");
    assert!(low.contains("descending to `habitat` the nitrogen ratio is 0.91"), "{low}");
    assert!(low.contains("`habitat` brings 34.0 % O2 of 36.0 %"), "{low}");
    assert!(low.contains("with 5.00 g each make 0.093 mg/m3 over 24 h"), "{low}");
    assert!(high.contains("5 suits with 5.00 g each make 0.116 mg/m3 over 24 h"), "{high}");
    let inspired = told(&answers, "inspired-range", "single-chamber").join("\n");
    assert!(inspired.contains("`waystation` at 70.3 kPa"), "{inspired}");
    assert!(findings.iter().all(|f| !f.rule.starts_with("orbit-")));
}

/// An answer is given for every architecture that it holds for: three cabins at 70.3 kPa, three at 56.5.
#[test]
fn every_architecture_has_its_answers() {
    let (c, _) = checked("runs/larkspur/campaign.toml");
    let answers = check::answers(&c);
    let high = ["single-chamber", "dual-chamber", "suitlock"];
    let low = ["suitport-pair", "single-chamber-low", "suitports-on-both"];
    for (arms, kpa) in [(high, "70.3"), (low, "56.5")] {
        for arm in arms {
            let told = told(&answers, "inspired-range", arm).join("\n");
            assert!(told.contains(&format!("`habitat` at {kpa} kPa")), "{arm}: {told}");
        }
    }
    // What stands at one place for all is said once and names none.
    let orbit = "`contingency` is 0.70 m wide";
    let all = answers.iter().filter(|f| f.what.starts_with(orbit));
    assert_eq!(all.map(|f| f.architecture.as_deref()).collect::<Vec<_>>(), [None]);
}

/// Every answer is a remark with a reason and a place, and none repeats another.
#[test]
fn answers_are_remarks() {
    for file in ["runs/larkspur/campaign.toml", "runs/ochre/campaign.toml"] {
        let (c, findings) = checked(file);
        let answers = check::answers(&c);
        for (i, f) in answers.iter().enumerate() {
            assert!(!f.is_error() && !f.why.is_empty() && !f.remedy.is_empty(), "{f:?}");
            assert!(!answers[..i].contains(f), "{f:?}");
        }
        // The demo campaigns have no single failure that leaves no way back.
        assert!(findings.iter().all(|f| f.rule != "single-point"), "{file}");
        assert!(c.arms.iter().all(|a| a.singles.is_empty()), "{file}");
    }
}
