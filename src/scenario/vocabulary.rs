//! The closed vocabularies of the files: each a list of words with one line of meaning. The reader,
//! `vestibule list` and the documentation are made from these lists.

/// A closed vocabulary: every word, its spelling in files and its meaning.
pub trait Vocabulary: Copy + Eq + 'static {
    /// What one word of this vocabulary is called in a message, for example "action".
    const WHAT: &'static str;
    /// Every word in the order of the documentation: value, spelling, meaning.
    const WORDS: &'static [(Self, &'static str, &'static str)];

    /// The word spelled `text`, if there is one.
    fn parse(text: &str) -> Option<Self> {
        Self::WORDS.iter().find(|w| w.1 == text).map(|w| w.0)
    }
    /// The spelling of this word.
    fn word(self) -> &'static str {
        Self::WORDS.iter().find(|w| w.0 == self).map_or("?", |w| w.1)
    }
}

macro_rules! vocabulary {
    ($(#[$meta:meta])* $name:ident, $what:literal, { $($variant:ident = $word:literal : $doc:literal),+ $(,)? }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $(#[doc = $doc] $variant),+ }
        impl Vocabulary for $name {
            const WHAT: &'static str = $what;
            const WORDS: &'static [(Self, &'static str, &'static str)] =
                &[$(($name::$variant, $word, $doc)),+];
        }
    };
}

vocabulary!(
    /// What a step row does.
    Action, "action", {
    Prepare = "prepare": "time for tools, fitting and briefing",
    Prebreathe = "prebreathe": "breathe oxygen until the target ratio; longer of `takes`, \
     protocol minimum and physics",
    Don = "don": "get into a suit, in a habitable place or through the back of a mated suit",
    LeakCheck = "leak check": "look for a leak of what it acts on; finds hidden failures, can \
     miss and can alarm falsely",
    Purge = "purge": "replace the nitrogen in a suit with oxygen; gas goes to `gas` (default \
     outside)",
    Depress = "depress": "pump a volume down to `to`; gas above it recovered with the pump's \
     efficiency",
    Repress = "repress": "fill a volume or suit to `to` (default: its pressure at rest) from the \
     store",
    Vent = "vent": "let the gas of a volume or suit out through a valve, or within `takes`",
    Open = "open": "open an opening; at most 1 kPa across",
    Close = "close": "close and check an opening",
    Pass = "pass": "persons go through an open opening",
    Mate = "mate": "dock a worn or empty suit to a suit interface",
    Unmate = "unmate": "release a suit from its interface",
    Clean = "clean": "use a dust stage",
    Doff = "doff": "get out of the suit in a habitable place",
    Recharge = "recharge": "refill a suit, or hang a person on an umbilical or panel",
    SuitUp = "suit up": "don in an emergency, stowed suit",
    Wait = "wait": "time passes, or until a condition holds",
    Travel = "travel": "go to an element on foot, by rover, with a stretcher, or leave by the \
     ascent vehicle",
});
vocabulary!(
    /// Whether a row is done once or per person.
    Each, "way of sharing a row", {
    Team = "team": "once for the team",
    InTurn = "in turn": "person after person; times add",
    AtOnce = "at once": "side by side; the next row starts when the slowest is done, in waves \
     when there are fewer instances",
});
vocabulary!(
    /// Who does a row (`inside of X` is written out and kept as text by [`super::WhoSpec`]).
    Who, "person word", {
    Team = "team": "those going out or coming in through this list, casualty included",
    Inside = "inside": "able persons inside the host element",
    All = "all": "team and inside",
    Casualty = "casualty": "the incapacitated of the team",
    Partner = "partner": "the able of the team",
    Helper = "helper": "one able person inside",
    First = "first": "first of the team in roster order, a casualty first",
    Last = "last": "last of the team in roster order",
    Rescuers = "rescuers": "those who went out to help",
});
vocabulary!(
    /// How a `travel` row moves.
    By, "means of travel", {
    Foot = "foot": "walking",
    Rover = "rover": "inside the pressurised rover",
    RoverOutside = "rover outside": "riding outside on the rover",
    Stretcher = "stretcher": "pulling a casualty",
    Ascent = "ascent": "leaving on the ascent vehicle; ends the campaign",
});
vocabulary!(
    /// Kind of opening.
    OpeningKind, "kind of opening", {
    PressureHatch = "pressure hatch": "holds pressure and dust",
    DustDoor = "dust door": "holds back dust, not pressure",
    SuitInterface = "suit interface": "the back of a rear-entry suit against the wall",
    Valve = "valve": "lets gas through; nobody passes",
});
vocabulary!(
    /// State of an opening at rest.
    OpeningRest, "state at rest", {
    Shut = "shut": "shut and checked",
    Open = "open": "open",
    Mated = "mated": "a suit hangs on it",
});
vocabulary!(
    /// Kind of stage.
    StageKind, "kind of stage", {
    Cleaning = "cleaning": "removes dust from suits",
    Panel = "panel": "recharges suits",
    Umbilical = "umbilical": "keeps a suited person alive on the element's supply",
});
vocabulary!(
    /// What an element is.
    ElementKind, "kind of element", {
    Habitat = "habitat": "where the crew live",
    Rover = "rover": "pressurised, drives",
    Module = "module": "joined shirt-sleeve to another element",
    Lander = "lander": "lands crew; may be the ascent vehicle",
    Orbiter = "orbiter": "stays in orbit; never played, only checked",
});
vocabulary!(
    /// When a failure mode is asked for; each has its unit of exposure.
    Trigger, "trigger", {
    Opening = "on opening": "per opening demand",
    Closing = "on closing": "per closing demand",
    Holding = "on holding pressure": "per pressurisation of a volume the part borders",
    Mating = "on mating": "per mating demand",
    Unmating = "on unmating": "per unmating demand",
    Start = "on start": "per start or use",
    Running = "while running": "per hour of running",
    Sortie = "per sortie": "per team sortie",
    HourOutside = "per hour outside": "per person-hour outside",
    Km = "per km driven": "per km",
    Transfer = "per docking transfer": "per transfer through a docking hatch",
    Hour = "per calendar hour": "per hour of campaign",
});
vocabulary!(
    /// What a failure does.
    Effect, "effect", {
    Slower = "slower": "rows on the part take longer by `factor` until repaired",
    Leak = "leak": "the part's seal leaks more by `factor`; above the holding limit it does not \
     hold pressure",
    StuckShut = "stuck shut": "cannot be opened; a suit interface cannot unmate",
    StuckOpen = "stuck open": "cannot be closed or does not seal; a suit interface cannot mate",
    PumpLost = "pump lost": "the pump moves nothing until repaired",
    StageLost = "stage lost": "the stage, panel or umbilical does nothing until repaired",
    SuitUnusable = "suit unusable": "the suit cannot be used until repaired; outside it calls for \
     return",
    ReturnNow = "return now": "the team comes back at once",
    CrewIncapacitated = "crew incapacitated": "the person can no longer act",
    CannotTravel = "cannot travel": "the rover does not drive until repaired",
    ElementLost = "element lost": "the element is no longer a haven and its ports are out",
});
vocabulary!(
    /// When a failure that did not show itself is noticed.
    Noticed, "time of noticing", {
    AtOnce = "at once": "known when it occurs",
    NextUse = "at next use": "hidden until the part is used or checked",
    NextInspection = "at next inspection": "hidden until the next inspection or use",
});
vocabulary!(
    /// Restriction of a failure mode to part of a sortie.
    During, "part of a sortie", {
    Egress = "egress": "only in egress lists",
    Ingress = "ingress": "only in planned ingress lists",
    WayBack = "way back": "only in contingency ingress paths",
});
vocabulary!(
    /// How bad an incapacitation is.
    Severity, "severity", {
    Helped = "walks with help": "walks slowly with the partner's help",
    Carried = "must be carried": "cannot walk",
    Critical = "time-critical": "cannot walk and must be treated soon",
});
vocabulary!(
    /// Where a repair can be done from.
    RepairFrom, "side of repair", {
    Inside = "inside": "from the pressurised side",
    Anywhere = "anywhere": "from either side",
    Outside = "outside": "by a team that goes out for it, by the first port that lets it",
});
vocabulary!(
    /// What a repair renews.
    Renews, "renewal", {
    AsNew = "as new": "age 0; every mode of the part renews",
    AsOld = "as bad as old": "age kept; only the mode that occurred renews",
});
vocabulary!(
    /// What an environment event does to plans.
    EnvironmentEffect, "environment effect", {
    StandDown = "stand down": "no sortie starts while it lasts; teams outside or on the way out \
     are called back when it is announced",
    NoStart = "no start": "no sortie starts while it lasts; teams outside finish",
    Dark = "dark": "no sortie starts while it lasts, and teams are back at the door before it \
     begins",
});
vocabulary!(
    /// How a number that is not fixed is drawn.
    Per, "level of drawing", {
    Occasion = "occasion": "anew each time it is used",
    Campaign = "campaign": "once per campaign (with `outer`, once per parameter set)",
    Study = "study": "once for the whole study",
});
vocabulary!(
    /// Standing of a number.
    Basis, "basis", {
    Published = "published": "read in a named source",
    CommonPractice = "common practice": "the trade simply knows it",
    Assumed = "assumed": "one engineer's judgement",
});
vocabulary!(
    /// What of a measure a limit is on.
    Statistic, "statistic", {
    Mean = "mean": "mean over campaigns; of a flag the share of campaigns, of a ratio the ratio \
     of sums",
    P05 = "p05": "5 % of campaigns are below it",
    P50 = "p50": "median of campaigns",
    P95 = "p95": "95 % of campaigns are below it",
    P99 = "p99": "99 % of campaigns are below it",
});
vocabulary!(
    /// How the points of a sweep lie.
    DesignKind, "design", {
    Grid = "grid": "every combination of the levels of the factors",
    OneAtATime = "one at a time": "the base campaign, then each factor at each of its levels \
     while all others stay",
    LatinHypercube = "latin hypercube": "`points` points, one in each of as many strata of every \
     factor",
    Sequence = "sobol sequence": "the first `points` points of a scrambled Sobol' sequence",
    Trajectories = "elementary effects": "`trajectories` random paths on which one factor after \
     the other takes a step (Morris)",
    Saltelli = "saltelli": "`rows` rows for first-order and total indices (Sobol'), k + 2 points \
     each",
});
vocabulary!(
    /// Which random numbers the points of a sweep are played on.
    PointLuck, "kind of random numbers", {
    Common = "common": "campaign j uses the same random numbers at every point: differences between \
     points are less noisy, and their noise is correlated",
    Own = "own": "every point has its own seed: the noise of two points is independent and can be \
     removed from indices",
});
