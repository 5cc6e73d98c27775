//! Every condition of rule 8 in a world where it holds and in one where it does not, as written and
//! negated: of two ways back, one needs it and the other its negation; whichever is named first, the
//! one that is open is tried and no other. A condition of the list without a case here fails.

use super::havens::{SUIT, shelter};
use super::played::*;
use crate::support::Case;
use vestibule::plan::{CONDITIONS, Condition};

/// Where people are stranded, and at which port the two ways begin.
#[derive(Clone, Copy)]
enum At {
    /// Outside the plain lock, whose outer hatch is stuck.
    Door,
    /// In the lock, whose outer hatch does not hold.
    Lock,
    /// Outside the same lock or the berths, which nothing ails but a check that cries wolf.
    Check,
    Berths,
    /// Outside the lock with the stuck hatch, by a pair of berths.
    Pair,
    /// Outside the same lock, by another one.
    Side,
}

struct World {
    case: Case,
    at: At,
}

/// A condition as the list spells it, as a file writes it, where it holds and where it does not.
struct Asked {
    spelt: &'static str,
    text: &'static str,
    holds: World,
    fails: World,
}

fn door() -> Case {
    let during = "during = \"ingress\"";
    one_sortie().add(&mode(
        "sticks",
        "main.outer",
        "on opening",
        "probability = 1",
        "stuck shut",
        during,
    ))
}

fn lock(seal: &str) -> Case {
    let more = "holds = false\nduring = \"ingress\"";
    one_sortie()
        .patch_access(
            "clear = \"0.91 m\", rest = \"shut\"",
            &format!("clear = \"0.91 m\", rest = \"shut\"{seal}"),
        )
        .add(&mode("leaks", "main.outer", "on holding pressure", "probability = 1", "leak", more))
}

/// A check at the door that always cries wolf.
const WOLF: &str = "  { action = \"leak check\", on = \"suit\", each = \"at once\", takes = \"1 min\", \
                    false_alarm = 1 },\n";

/// They are sent away from a lock that is sound.
fn check() -> Case {
    let brush = "  { action = \"clean\", on = \"brush\"";
    one_sortie().patch_access(brush, &format!("{WOLF}{brush}"))
}

/// So many of two are sent away from sound berths, where the suits of the others hang.
fn check_at_berths(out: u32) -> Case {
    let mate = "  { action = \"mate\", on = \"interface\"";
    let case = berths().patch_access(mate, &format!("{WOLF}{mate}"));
    if out == 2 { case } else { case.patch("team = 2", "team = 1") }
}

/// A pair of berths beside the lock, with narrow suits at them that are not the team's.
fn pair(limit: &str, plate: &str) -> Case {
    let base = Case::base().campaign;
    let (from, to) = (base.find("[suit.plain]").unwrap(), base.find("[activity").unwrap());
    let narrow = "width = \"0.60 m\"\nport_limit = \"75 kPa\"";
    let kind = base[from..to].replace("plain", "narrow").replace("width = \"0.70 m\"", narrow);
    let berth = "count = 2, rest = \"mated\"";
    let text = berths().access[0].1.replace(berth, &format!("{berth}{plate}"));
    let hang = "{ suit = \"narrow\", count = 2, at = \"pair\" }";
    door()
        .include("pair.toml", &text)
        .patch("at = \"main.lock\" }", &format!("at = \"main.lock\" }}, {hang}"))
        .patch("width = \"0.70 m\"", &format!("width = \"0.70 m\"{limit}"))
        .add(&format!("\n{kind}"))
        .add("[architecture.lock.port.pair]\nelement = \"habitat\"\naccess = \"pair\"\n")
}

/// Another lock beside the first.
fn side() -> Case {
    let text = one_sortie().access[0].1.clone();
    door()
        .include("side.toml", &text)
        .add("[architecture.lock.port.side]\nelement = \"habitat\"\naccess = \"side\"\n")
}

/// Something of this kind strikes within the first day but for 4e-11, and is known.
fn strikes(on: &str, effect: &str) -> String {
    mode("gone", on, "per calendar hour", "rate = \"1 /h\"", effect, "noticed = \"at once\"")
}

/// A second element, where nobody lives.
fn beside(people: u32, kind: &str) -> Case {
    let home = "rest = \"290 W\"\nhome = \"habitat\"";
    let more = shelter(people).replace("kind = \"habitat\"", kind);
    door().patch("rest = \"290 W\"", home).add(&more)
}

const CART: &str = "kind = \"rover\"\nspeed = \"10 km/h\"";

/// Ada and Ben alone.
fn nobody() -> Case {
    door()
        .patch("[\"Ada\", \"Ben\", \"Cleo\"]", "[\"Ada\", \"Ben\"]")
        .patch("haven_people = 3", "haven_people = 3\ninside_least = 0")
}

/// Cleo gets ready at the other lock when the team is at its door.
fn busy() -> Case {
    let minute = 1440.0 + egress() + 240.0;
    let to = "{ suit = \"plain\", count = 1, at = \"side.lock\" }";
    side()
        .patch("haven_people = 3", "haven_people = 3\ninside_least = 0")
        .patch("at = \"main.lock\" }", &format!("at = \"main.lock\" }}, {to}"))
        .add(&format!(
            "[activity.other]\nfrom = \"habitat\"\nports = [\"side\"]\nteam = 1\ncrew = [\"Cleo\"]\n\
             at = [\"{minute} min\"]\nhours = \"1 h\"\ndust = \"0 g\"\n"
        ))
}

/// Two able people more and two suits inside.
fn rescuers() -> Case {
    let suits = ", { suit = \"plain\", count = 2, at = \"habitat.cabin\" }";
    door()
        .patch("[\"Ada\", \"Ben\", \"Cleo\"]", "[\"Ada\", \"Ben\", \"Cleo\", \"Dora\"]")
        .patch("at = \"main.lock\" }", &format!("at = \"main.lock\" }}{suits}"))
}

/// A store with so much nitrogen, and plenty of oxygen.
fn stored(nitrogen: f64) -> Case {
    door()
        .patch("tolerates_vacuum = true", "tolerates_vacuum = true\nstore = \"gas\"")
        .patch("nitrogen = \"120 kg\"", &format!("nitrogen = \"{nitrogen} kg\""))
}

/// kg of nitrogen that fill so many m3 from vacuum.
fn fills(volume: f64) -> f64 {
    70.3e3 * volume * 0.735 * N2 / (R * 294.26)
}

fn cord(serves: u32) -> Case {
    let cord = format!("cord = {{ kind = \"umbilical\", in = \"lock\", serves = {serves} }}");
    door().patch_access("[list]\n", &format!("{cord}\n[list]\n"))
}

/// A hatch of the habitat, so wide.
fn crawl(clear: &str) -> Case {
    let crawl = format!(
        "[element.habitat.opening]\ncrawl = {{ kind = \"pressure hatch\", between = [\"cabin\", \
         \"outside\"], clear = \"{clear}\", rest = \"shut\" }}\n[suit.plain]"
    );
    door().patch("[suit.plain]", &crawl)
}

fn hurt() -> Case {
    let more = "severity = \"walks with help\"";
    let law = "probability = 1";
    door().add(&mode("hurt", "crew", "per sortie", law, "crew incapacitated", more))
}

/// It gets dark an hour before the team is at the door, or the day after.
fn dark(at: &str) -> Case {
    let night = format!("every = \"30 d\"\nfirst = \"{at}\"\nlasts = \"6 h\"\neffect = \"dark\"");
    door().add(&format!("\n[environment.sky]\n{night}\n"))
}

fn cases() -> Vec<Asked> {
    use At::*;
    let ask = |spelt, text, holds: (Case, At), fails: (Case, At)| Asked {
        spelt,
        text,
        holds: World { case: holds.0, at: holds.1 },
        fails: World { case: fails.0, at: fails.1 },
    };
    let plain = || (door(), Door);
    let vacuum = |x: &str| door().patch("tolerates_vacuum = true", x);
    let lost = || beside(2, "kind = \"habitat\"").add(&strikes("shelter", "element lost"));
    let cart = || beside(2, CART);
    let broken = || cart().add(&strikes("shelter", "cannot travel"));
    let manned = |home: &str| {
        cart()
            .patch("haven_people = 3", "haven_people = 3\ninside_least = 0")
            .patch("home = \"habitat\"", home)
    };
    let apart = || beside(2, "kind = \"habitat\"");
    let ship = |x: &str| apart().patch("haven_people = 2", &format!("haven_people = 2{x}"));
    let limit = "\nport_limit = \"75 kPa\"";
    let hung = || (pair(limit, ""), Pair);
    let jams = || (pair(limit, "").add(&strikes("pair.interface", "stuck open")), Pair);
    let plate = |clear: &str| (pair(limit, &format!(", clear = \"{clear}\"")), Pair);
    let empty = |n: u32| (check_at_berths(n), Berths);
    vec![
        ask(
            "X tolerates vacuum",
            "habitat tolerates vacuum",
            plain(),
            (vacuum("tolerates_vacuum = false"), Door),
        ),
        ask("X intact", "outer intact", (check(), Check), plain()),
        ask("X intact", "outer intact", (lock(""), Lock), plain()),
        ask("X intact", "lock intact", (check(), Check), plain()),
        ask("X intact", "shelter intact", (apart(), Door), (lost(), Door)),
        ask("X stuck", "outer stuck", plain(), (check(), Check)),
        ask("X stuck", "outer stuck", (lock(""), Lock), (check(), Check)),
        ask("X stuck", "lock stuck", plain(), (check(), Check)),
        ask("X opens", "outer opens", (lock(""), Lock), plain()),
        ask("X leaks", "outer leaks", (lock(""), Lock), plain()),
        ask(
            "X dirty",
            "outer dirty",
            (lock(", seal_dust = \"1 g/m2\""), Lock),
            (lock(", seal_dust = \"0.9 g/m2\""), Lock),
        ),
        ask("nobody in X", "nobody in cabin", (nobody(), Door), plain()),
        ask("anyone inside", "anyone inside", plain(), (nobody(), Door)),
        ask("anyone inside", "anyone inside", (busy(), Door), (nobody(), Door)),
        ask("helper inside", "helper inside", plain(), (busy(), Door)),
        ask("rescuers inside", "rescuers inside", (rescuers(), Door), plain()),
        ask(
            "suit for everyone inside",
            "suit for everyone inside",
            (door().patch("at = \"main.lock\" }", &format!("at = \"main.lock\" }}{SUIT}")), Door),
            plain(),
        ),
        ask("umbilical for everyone", "umbilical for everyone", (cord(2), Door), (cord(1), Door)),
        // Of the 2.2 kg of nitrogen in the lock the pump has given 1.8 back to the store.
        ask(
            "gas covers X",
            "gas covers cabin",
            (stored(fills(80.0) - 1.0), Door),
            (stored(fills(80.0) - 3.0), Door),
        ),
        // For either alone there is enough, for both there is not.
        ask(
            "gas covers X",
            "gas covers cabin and lock",
            (stored(fills(84.25) - 1.0), Door),
            (stored(fills(84.25) - 2.4), Door),
        ),
        ask(
            "port free",
            "port free",
            (side(), Side),
            (side().add(&strikes("side.outer", "stuck shut")), Side),
        ),
        ask("berth free", "berth free", empty(1), hung()),
        ask("berth free", "berth free", empty(2), jams()),
        ask("berth empty", "berth empty", empty(1), hung()),
        ask("berth intact", "berth intact", hung(), jams()),
        ask("two berths free", "two berths free", empty(2), empty(1)),
        ask("port fits suit", "port fits suit", hung(), (pair("", ""), Pair)),
        ask("port fits suit", "port fits suit", plate("0.71 m"), plate("0.69 m")),
        ask("X clears suit", "crawl clears suit", (crawl("0.71 m"), Door), (crawl("0.69 m"), Door)),
        ask("X in reach", "shelter in reach", (apart(), Door), (lost(), Door)),
        ask("room at X", "room at shelter", (beside(1, "kind = \"habitat\""), Door), {
            (beside(0, "kind = \"habitat\""), Door)
        }),
        ask("rover drives", "rover drives", (cart(), Door), (broken(), Door)),
        ask(
            "rover manned",
            "rover manned",
            (manned("home = \"shelter\""), Door),
            (manned("home = \"habitat\""), Door),
        ),
        ask("rover remote", "rover remote", (cart(), Door), (broken(), Door)),
        ask("rover remote", "rover remote", (cart(), Door), plain()),
        ask("casualty", "casualty", (hurt(), Door), plain()),
        ask("no casualty", "no casualty", plain(), (hurt(), Door)),
        ask("daylight", "daylight", (dark("60 h"), Door), (dark("29 h"), Door)),
        ask("ascent vehicle", "ascent vehicle", (ship("\nascent = true"), Door), (ship(""), Door)),
    ]
}

/// Rows of the two ways, which free what is stuck or mate at the berths.
fn rows(at: At) -> (&'static str, &'static str) {
    match at {
        At::Door => (
            "outside",
            "{ action = \"open\", on = \"outer\", takes = \"10 min\", frees = 1.0 }, \
             { use = \"ingress\", after = \"open outer\" }",
        ),
        At::Lock => (
            "lock",
            "{ action = \"close\", on = \"outer\", takes = \"4 min\" }, { action = \"repress\", \
             on = \"lock\", takes = \"6 min\", frees = 1.0 }, { use = \"ingress\", after = \"repress \
             lock\" }",
        ),
        At::Check | At::Berths => ("outside", "{ use = \"ingress\", after = \"leak check suit\" }"),
        At::Pair | At::Side => ("outside", "{ use = \"ingress\" }"),
    }
}

/// A world with the two ways, in this order.
fn with_ways(w: &World, text: &str, order: &str) -> Case {
    let (from, rows) = rows(w.at);
    let way = |name: &str, needs: &str| {
        format!(
            "[list.way_back.{name}]\nfrom = \"{from}\"\nneeds = [\"{needs}\"]\nrows = [{rows}]\n"
        )
    };
    let ways = way("one", text) + &way("other", &format!("not {text}"));
    let mut case = w.case.clone().patch("ways_back = []", &format!("ways_back = [{order}]"));
    let file = match w.at {
        At::Door | At::Lock | At::Check => "plain-lock.toml",
        At::Berths => "plain-port.toml",
        At::Pair => "pair.toml",
        At::Side => "side.toml",
    };
    let access = case.access.iter_mut().find(|a| a.0 == file).expect("the access file");
    access.1.push_str(&ways);
    case
}

/// Which of the two ways were tried: that which needs the condition, that which needs its negation.
fn tried(w: &World, text: &str, turned: bool) -> Result<[bool; 2], String> {
    let order = if turned { "\"other\", \"one\"" } else { "\"one\", \"other\"" };
    let o = first(&with_ways(w, text, order).try_model()?);
    let bit = |i: u32| o.record.ways >> i & 1 != 0;
    Ok(if turned { [bit(1), bit(0)] } else { [bit(0), bit(1)] })
}

#[test]
fn each_holds_and_fails_as_written_and_negated() {
    let mut wrong = Vec::new();
    for c in cases() {
        for (w, want) in [(&c.holds, [true, false]), (&c.fails, [false, true])] {
            for turned in [false, true] {
                let got = tried(w, c.text, turned);
                if got.as_ref() != Ok(&want) {
                    wrong.push(format!("{}, turned {turned}: {got:?}, to be {want:?}", c.text));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// `in time` is asked of every way: what comes in time goes first, of what comes too late the quickest.
/// `not in time` keeps a way shut that would come in time.
#[test]
fn in_time_and_not() {
    let way = |name: &str, needs: &str, minutes: u32| {
        format!(
            "[list.way_back.{name}]\nfrom = \"outside\"\nneeds = [\"{needs}\"]\nrows = [{{ action = \
             \"open\", on = \"outer\", takes = \"{minutes} min\", frees = 1.0 }}, {{ use = \
             \"ingress\", after = \"open outer\" }}]\n"
        )
    };
    let tried = |one: u32, other: u32| {
        let m = door()
            .patch("ways_back = []", "ways_back = [\"other\", \"one\"]")
            .add_access(&(way("one", "in time", one) + &way("other", "not in time", other)))
            .model();
        let ways = first(&m).record.ways;
        [ways >> 1 & 1 != 0, ways & 1 != 0]
    };
    assert_eq!(tried(20, 10), [true, false], "both would be in time");
    assert_eq!(tried(20, 900), [true, false], "what is in time goes first");
    assert_eq!(tried(950, 900), [false, true], "both too late: the quicker one");
    assert_eq!(tried(900, 950), [true, false], "both too late: the quicker one");
    let row = "{ action = \"doff\", on = \"suit\"";
    let said = door().patch_access(row, &format!("{row}, when = [\"in time\"]")).checked();
    assert!(said.is_err_and(|s| s.contains("asked of a row")), "a row has no clock of its own");
}

/// As the list spells a condition; a new one does not compile until it stands here.
fn spelling(c: Condition) -> &'static str {
    use Condition::*;
    match c {
        ToleratesVacuum(_) => "X tolerates vacuum",
        OpeningIntact(..) | VolumeIntact(_) | ElementIntact(_) => "X intact",
        OpeningStuck(..) | VolumeStuck(_) => "X stuck",
        Opens(..) => "X opens",
        Leaks(..) => "X leaks",
        Dirty(..) => "X dirty",
        NobodyIn(_) => "nobody in X",
        AnyoneInside => "anyone inside",
        HelperInside => "helper inside",
        RescuersInside => "rescuers inside",
        SuitForEveryoneInside => "suit for everyone inside",
        UmbilicalForEveryone => "umbilical for everyone",
        GasCovers(..) => "gas covers X",
        PortFree => "port free",
        BerthFree => "berth free",
        BerthEmpty => "berth empty",
        BerthIntact => "berth intact",
        TwoBerthsFree => "two berths free",
        PortFitsSuit => "port fits suit",
        ClearsSuit(_) => "X clears suit",
        InReach(_) => "X in reach",
        RoomAt(_) => "room at X",
        RoverDrives => "rover drives",
        RoverManned => "rover manned",
        RoverRemote => "rover remote",
        Casualty => "casualty",
        NoCasualty => "no casualty",
        Daylight => "daylight",
        AscentVehicle => "ascent vehicle",
        InTime => "in time",
    }
}

#[test]
fn every_condition_has_a_case() {
    let cases = cases();
    for (spelt, _) in CONDITIONS.iter().filter(|c| c.0 != "not CONDITION") {
        let has = *spelt == "in time" || cases.iter().any(|c| c.spelt == *spelt);
        assert!(has, "no case of the condition `{spelt}`");
    }
    for c in &cases {
        assert!(CONDITIONS.iter().any(|x| x.0 == c.spelt), "no line for `{}`", c.spelt);
        let m = with_ways(&c.holds, c.text, "\"one\", \"other\"").model();
        let l = &m.arms[0].layout;
        let asked = l.lists[l.ways_back[0] as usize].needs[0].condition;
        assert_eq!(spelling(asked), c.spelt, "{}", c.text);
    }
}
