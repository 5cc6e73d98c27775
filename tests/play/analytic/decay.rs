//! Volumes that nothing holds at pressure (rule 25): what a store that has gas again brings back, and what bounds
//! the leak of a wide seal.

use super::havens::kept_shut;
use super::played::*;
use super::seals::part;
use crate::support::Case;

/// Days of the campaign.
const DAYS: f64 = 20.0;
/// kg/mol of cabin air.
const MOLAR: f64 = 0.265 * O2 + 0.735 * N2;

/// A lock that no store holds, shut on both sides, with such a seal of the outer hatch; a sortie begins when there
/// is no time left for it.
fn unfed_lock(seal: &str) -> Case {
    let mut case = Case::base()
        .patch("length = \"30 d\"", &format!("length = \"{DAYS} d\""))
        .patch("per_week = 2", "at = [\"19.99 d\"]")
        .patch_access("rest = \"cabin\", holds = 2", "rest = \"cabin\", fed = false, holds = 2")
        .patch_access("clear = \"0.91 m\", rest = \"shut\"", &format!("rest = \"shut\", {seal}"));
    case.access[0].1 = kept_shut(&case.access[0].1);
    case
}

/// Kilograms that the lock loses.
fn lost(case: &Case) -> f64 {
    let m = case.model();
    part(&m, &first(&m), "gas_lost_kg", "main: leak")
}

/// The shell of the cabin leaks 2 kg/d and uses up the nitrogen in five days; on day 15 more comes, and the
/// cabin is held again. The lock leaks from the first day to the last, whether there is gas or not.
#[test]
fn what_no_store_holds_is_not_brought_back() {
    let flight = format!(
        "nitrogen = \"{} kg\"\nresupply = [{{ at = \"15 d\", on_time = 1, slip = \"1 d\", \
         oxygen = \"1 kg\", nitrogen = \"120 kg\" }}]",
        5.0 * 2.0 * 0.735 * N2 / MOLAR
    );
    let store = "tolerates_vacuum = true\nstore = \"gas\"\nleak = \"2 kg/d\"";
    let case = unfed_lock("leak = \"0.1 kg/d\"")
        .patch("tolerates_vacuum = true", store)
        .patch("nitrogen = \"120 kg\"", &flight);
    let content = 70.3e3 * 4.25 * MOLAR / (R * 294.26);
    near(lost(&case), content * (1.0 - (-0.1 * DAYS / content).exp()), "leak of the lock");
}

/// The seal would pass 100 kg a day, its slit passes at most w h^3 p^2/(24 mu L Rs T), with Sutherland's
/// viscosity, at the pressure of the first moment, and less later.
#[test]
fn the_gap_bounds_what_a_lock_loses_that_nothing_holds() {
    let gap = "gap = { length = \"30 mm\", height = \"0.01 mm\", path = \"5 mm\" }";
    let t: f64 = 294.26;
    let mu = 1.716e-5 * (t / 273.15).powf(1.5) * (273.15 + 110.4) / (t + 110.4);
    let slit = 0.03 * 1e-5f64.powi(3) * 70.3e3f64.powi(2) / (24.0 * mu * 0.005 * (R / MOLAR) * t);
    let most = slit * 86_400.0 * DAYS;
    let content = 70.3e3 * 4.25 * MOLAR / (R * t);
    let lost = lost(&unfed_lock(&format!("leak = \"100 kg/d\", {gap}")));
    assert!(most < content / 2.0);
    assert!(lost < most && lost > most / 2.0, "{lost} kg of {most}");
}
