//! The test of the vocabulary: a two-cell inflatable lock whose outer cell normally stays at vacuum, with
//! a failure mode and a way back whose names occur nowhere in `src`, is a data file and nothing else.

use crate::support::{Case, value};
use std::fs;
use std::path::Path;
use vestibule::campaign::Player;

/// Two cells: suits on the middle bulkhead, entered through the back from the inner cell; the outer cell
/// is open to vacuum unless it is filled for service.
const TWO_CELLS: &str = r#"
[volume]
antecell = { free = "9 m3", rest = "cabin", holds = 4 }
farcell = { free = "9 m3", rest = "outside", holds = 2 }
sliver = { free = "0.03 m3", rest = "cabin", count = 2 }
[opening]
zip_in = { kind = "pressure hatch", between = ["cabin", "antecell"], clear = "0.9 m", rest = "open" }
zip_out = { kind = "pressure hatch", between = ["farcell", "outside"], clear = "0.9 m", rest = "shut" }
backplate = { kind = "suit interface", between = ["sliver", "farcell"], count = 2, rest = "mated" }
lid = { kind = "pressure hatch", between = ["antecell", "sliver"], clear = "0.6 m", count = 2, rest = "shut" }
back = { kind = "pressure hatch", between = ["sliver", "suit"], count = 2, rest = "shut" }
[stage]
beater = { in = "farcell", removes = 0.4 }
[list]
egress = [
  { action = "pass", on = "zip_in", each = "in turn", takes = "1 min" },
  { action = "open", on = "lid", each = "at once", takes = "1 min" },
  { action = "open", on = "back", each = "at once", takes = "1 min" },
  { action = "don", on = "backplate", each = "at once", takes = "8 min" },
  { action = "close", on = "back", each = "at once", takes = "1 min" },
  { action = "close", on = "lid", each = "at once", takes = "1 min" },
  { action = "leak check", on = "suit", each = "at once", takes = "3 min" },
  { action = "prebreathe", on = "suit", each = "at once", takes = "20 min" },
  { action = "vent", on = "sliver", takes = "1 min" },
  { action = "vent", on = "suit", to = "working", takes = "1 min" },
  { action = "unmate", on = "backplate", each = "at once", takes = "2 min" },
  { action = "open", on = "zip_out", takes = "2 min" },
  { action = "pass", on = "zip_out", each = "in turn", takes = "2 min" },
  { action = "close", on = "zip_out", takes = "1 min" },
]
ingress = [
  { action = "open", on = "zip_out", takes = "2 min" },
  { action = "pass", on = "zip_out", each = "in turn", takes = "2 min" },
  { action = "close", on = "zip_out", takes = "2 min" },
  { action = "clean", on = "beater", each = "in turn", takes = "5 min" },
  { action = "mate", on = "backplate", each = "in turn", takes = "4 min" },
  { action = "repress", on = "sliver", takes = "1 min" },
  { action = "repress", on = "suit", to = "cabin", takes = "1 min" },
  { action = "open", on = "lid", each = "at once", takes = "1 min" },
  { action = "open", on = "back", each = "at once", takes = "1 min" },
  { action = "doff", on = "backplate", each = "at once", takes = "4 min" },
  { action = "close", on = "back", each = "at once", takes = "1 min" },
  { action = "close", on = "lid", each = "at once", takes = "1 min" },
  { action = "recharge", on = "suit", takes = "20 min" },
  { action = "open", on = "zip_in", takes = "1 min" },
  { action = "pass", on = "zip_in", each = "in turn", takes = "1 min" },
]
[list.way_back.thump-the-zip]
from = "outside"
rows = [
  { action = "open", on = "zip_out", takes = "12 min", frees = 0.8 },
  { use = "ingress", after = "open zip_out" },
]
"#;

const ZIP: &str = r#"
[failure.zip-frozen]
on = "main.zip_out"
when = "on opening"
during = "ingress"
law = { probability = 0.2 }
effect = "stuck shut"
"#;

fn two_cells() -> Case {
    Case::base()
        .include("two-cells.toml", TWO_CELLS)
        .patch("access = \"plain-lock\"", "access = \"two-cells\"")
        .patch("at = \"main.lock\"", "at = \"main\"")
        .patch("width = \"0.70 m\"", "width = \"0.85 m\"\nport_limit = \"10.5 psi\"")
        .patch("ways_back = []", "ways_back = [\"thump-the-zip\"]")
        .add(ZIP)
}

fn source(folder: &Path, out: &mut String) {
    for e in fs::read_dir(folder).unwrap() {
        let path = e.unwrap().path();
        if path.is_dir() {
            source(&path, out);
        } else {
            out.push_str(&fs::read_to_string(&path).unwrap_or_default());
        }
    }
}

#[test]
fn a_system_a_mode_and_a_way_back_are_data() {
    let mut src = String::new();
    source(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut src);
    assert!(src.len() > 100_000);
    for name in ["two-cells", "antecell", "farcell", "zip_out", "zip-frozen", "thump-the-zip"] {
        assert!(!src.contains(name), "`{name}` stands in src");
    }
    let model = two_cells().model();
    let mut player = Player::new(&model);
    let (mut struck, mut thumped, mut done) = (0.0, 0.0, 0.0);
    for k in 0..60 {
        let o = player.play_one(0, k);
        struck += value(o, "hatch_failures");
        thumped += value(o, "haven_way_back");
        done += value(o, "sorties_done");
    }
    assert!(done > 100.0 && struck > 30.0 && thumped > 30.0, "{done} {struck} {thumped}");
}

/// The outer cell stays at vacuum between sorties: what a planned sortie loses is the two slivers and
/// what leaves the suits, far below a cell of gas.
#[test]
fn a_chamber_kept_at_vacuum_loses_no_cell_of_gas() {
    let mut case = two_cells();
    case.campaign = case.campaign.replace(ZIP, "");
    let o = crate::support::play(&case.model(), 0);
    assert!(value(&o, "gas_lost_per_sortie_kg") < 0.3, "{}", value(&o, "gas_lost_per_sortie_kg"));
}
