//! What stands open where a list empties or fills a volume (rules 2, 22, 29).

use super::havens::beside_a_tunnel;
use super::played::*;
use crate::support::value;

/// The tunnel to a shed was jammed on the way out and stands open, mended, when the cabin is to be emptied.
/// Whoever is inside may fail to shut it (p); the way is not begun then, and is open again once that is mended,
/// an hour later. There is time for two tries.
#[test]
fn a_way_that_was_not_begun_is_open_again() {
    let p = 0.5_f64;
    let mends = |during: &str| {
        format!(
            "during = \"{during}\"\nrepair = {{ takes = \"1 h\", crew = 1, from = \"anywhere\" }}"
        )
    };
    let jams = |name: &str, chance: f64, during: &str| {
        let law = format!("probability = {chance:.1}");
        mode(name, "shed.tunnel", "on closing", &law, "stuck open", &mends(during))
    };
    let m = beside_a_tunnel()
        .add(&(jams("jams", 1.0, "egress") + &jams("drags", p, "ingress")))
        .model();
    let clock = pump() + AFTER_DEPRESS + 240.0 + 10.0 + 2.0 + 4.0 + 4.0;
    let way = 4.0 + 25.0 + 3.0 + 20.0 + 2.0 + 2.0 + 3.0 + 30.0;
    let tries = 1.0 + ((450.0 - clock - way) / (4.0 + 60.0)).floor();
    assert_eq!(tries, 2.0);
    let met = sample(&m, 0, 1000, |o| f64::from(u8::from(value(o, "haven_way_back") == 3.0)));
    share(&met, 1.0 - p.powf(tries), "through the cabin");
}

/// A porch is part of the lock, its hatch stands open all along: it is not asked to hold what the two are
/// filled to, and the one that is shut is.
#[test]
fn a_hatch_that_stands_open_is_not_asked_to_hold() {
    let seals = |on: &str| {
        let both = "on = [\"lock\", \"porch\"]";
        let law = "probability = 1";
        let m = one_sortie()
            .patch_access(
                "[opening]\n",
                "porch = { free = \"1 m3\", rest = \"cabin\", holds = 2, count = 1 }\n[opening]\n\
                 screen = { kind = \"pressure hatch\", between = [\"lock\", \"porch\"], \
                 clear = \"0.91 m\", rest = \"open\" }\n",
            )
            .patch_access("  { action = \"depress\", on = \"lock\", to = \"2 psi\" },\n", "")
            .patch_access("\"vent\", on = \"lock\"", &format!("\"vent\", {both}"))
            .patch_access("\"repress\", on = \"lock\"", &format!("\"repress\", {both}"))
            .add(&mode("leaks", on, "on holding pressure", law, "leak", "holds = false"))
            .model();
        let o = first(&m);
        (value(&o, "seal_failures"), value(&o, "haven_planned"), value(&o, "haven_missed"))
    };
    assert_eq!(seals("main.screen"), (0.0, 2.0, 0.0));
    assert_eq!(seals("main.outer"), (1.0, 0.0, 2.0));
}
