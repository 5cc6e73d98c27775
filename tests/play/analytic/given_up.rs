//! Lists that start from inside and are given up part-way: out by a module, over to a rover.

use super::played::*;
use super::traverses::rover;
use crate::support::{Case, play, value};

/// The module.
pub fn shed() -> String {
    module("shed", 2) + SHED
}

/// A pair of berths whose suits are serviced after every sortie in a module with a side hatch, which is
/// also the way out with them.
const SHED: &str = r#"
[element.shed.opening.relief]
kind = "valve"
between = ["cabin", "outside"]
rest = "shut"
diameter = "50 mm"
[element.shed.opening.screen]
kind = "dust door"
between = ["cabin", "outside"]
rest = "shut"
"#;

const SERVICE: &str = r#"
service-in = [
  { action = "vent", on = "shed.cabin", to = "outside" },
  { action = "open", on = "shed.side", takes = "2 min" },
  { action = "pass", on = "shed.side", takes = "2 min" },
  { action = "close", on = "shed.side", takes = "4 min" },
  { action = "repress", on = "shed.cabin", takes = "6 min" },
  { action = "doff", on = "suit", each = "at once", takes = "15 min" },
  { action = "open", on = "shed.tunnel", takes = "2 min" },
  { action = "pass", on = "shed.tunnel", takes = "1 min" },
  { action = "close", on = "shed.tunnel", takes = "4 min" },
]
service-out = [
  { action = "open", on = "shed.tunnel", takes = "2 min" },
  { action = "pass", on = "shed.tunnel", takes = "1 min" },
  { action = "don", on = "suit", each = "at once", takes = "12 min" },
  { action = "close", on = "shed.tunnel", takes = "4 min" },
  { action = "leak check", on = "suit", each = "at once", takes = "3 min" },
  { action = "prebreathe", on = "suit", each = "at once", takes = "40 min" },
  { action = "vent", on = "shed.cabin", to = "outside" },
  { action = "open", on = "shed.side", takes = "2 min" },
  { action = "pass", on = "shed.side", takes = "2 min" },
  { action = "close", on = "shed.side", takes = "4 min" },
  { action = "repress", on = "shed.cabin", who = "inside", takes = "6 min" },
]
"#;

/// A pair of berths whose suits are serviced after every sortie in a module with a side hatch, which is
/// also the way out with them.
pub fn serviced() -> Case {
    berths()
        .patch("at = [\"1 d\"]", "at = [\"1 d\", \"2 d\"]")
        .patch("primary = ", "maintenance_every = 1\nmaintenance_takes = \"4 h\"\nprimary = ")
        .add(&shed())
        .add_access(SERVICE)
}

/// What fails once the module has been emptied, or does not empty: it is filled again, and both go back
/// in by the tunnel. Nobody is missed, and nothing is tried as a way back.
#[test]
fn a_way_out_by_a_module_that_fails_leads_back_in() {
    let o = play(&serviced().model(), 0);
    assert_eq!((value(&o, "sorties_done"), value(&o, "haven_planned")), (2.0, 4.0));
    for (part, demands) in [("shed.side", 4.0), ("shed.relief", 4.0)] {
        let stuck = mode(
            "sticks",
            part,
            "on opening",
            "probability = 1.0",
            "stuck shut",
            "during = \"egress\"",
        );
        let o = first(&serviced().add(&stuck).model());
        assert_eq!(value(&o, "sorties_done"), 1.0, "{part}");
        assert_eq!(value(&o, "haven_demands"), demands, "{part}");
        assert_eq!(value(&o, "haven_planned"), demands, "{part}: all come in as planned");
    }
}

/// A door of the module that is opened on the way out and that no way in shuts: nothing leads back to
/// rest from there, which is an error.
#[test]
fn an_abort_that_leads_nowhere_is_an_error() {
    let side = "{ action = \"open\", on = \"shed.side\", takes = \"2 min\" },\n  \
                { action = \"pass\", on = \"shed.side\", takes = \"2 min\" },\n  \
                { action = \"close\", on = \"shed.side\", takes = \"4 min\" },\n  \
                { action = \"repress\", on = \"shed.cabin\", who";
    let screen = format!(
        "{{ action = \"open\", on = \"shed.screen\", takes = \"1 min\" }},\n  \
         {{ action = \"close\", on = \"shed.screen\", takes = \"1 min\" }},\n  {side}"
    );
    let said = serviced().patch_access(side, &screen).try_model().err().unwrap_or_default();
    assert!(said.contains("no-abort") && said.contains("service-out"), "{said}");
    assert!(said.contains("no row of service-in or ingress leads back"), "{said}");
}

/// Undocking that fails half-way is undone by the rows of docking that are left: the far hatch, open by
/// then, is shut again (4 min), which is upkeep of the two who did it.
#[test]
fn undocking_that_fails_is_undone() {
    let latch = mode("latch", "sleeve.near", "on opening", "probability = 1.0", "stuck shut", "");
    let m = rover().add(&latch).model();
    let o = play(&m, 0);
    assert_eq!(value(&o, "sorties_done"), 0.0);
    let i = m.arms[0].breakdown.iter().position(|b| b.0 == "upkeep_h" && b.1 == "docking");
    let hours = o.breakdown[i.expect("docking hours")];
    // The latch is known after the first of two traverses: the second does not begin to cross.
    near(hours * 60.0, 2.0 * (3.0 + 3.0 + 4.0), "person-minutes of opening twice and shutting");
}

/// A hatch of the module, or of the tunnel to it, is mended by whoever can get there: nobody is in the
/// module, whose tunnel is kept shut.
#[test]
fn a_hatch_of_a_module_is_mended_by_whoever_can_get_there() {
    for part in ["shed.side", "shed.tunnel"] {
        let during =
            "during = \"egress\"\nrepair = { takes = \"3 h\", crew = 1, from = \"inside\" }";
        let stuck = mode("sticks", part, "on opening", "probability = 1.0", "stuck shut", during);
        let m = serviced().add(&stuck).model();
        let o = first(&m);
        let hours = super::traverses::cause(&m, &o, "upkeep_h", "repair");
        assert!(hours >= 3.0, "{part}: {hours} h of repair");
    }
}
