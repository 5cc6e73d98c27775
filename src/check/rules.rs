//! Registry of every rule: those of the reader and those of the check of the whole.

use crate::scenario::rules::rules as declare;
use crate::scenario::{READER_RULES, Rule, SWEEP_RULES};

declare! {
    /// Every rule that needs the whole picture.
    CHECK_RULES, Check, {
    UNKNOWN_NAME = "unknown-name" Error:
        "every name refers to something that exists";
        "write a name that exists"
    AMBIGUOUS_NAME = "ambiguous-name" Error:
        "a name refers to one thing only";
        "say which one is intended"
    BERTH = "berth" Error:
        "a suit interface needs a gap with a port hatch and a suit hatch";
        "declare gap, interface, port hatch and suit hatch with the same count"
    SUIT_PLACE = "suit-place" Error:
        "every suit has one place where it is kept";
        "write a port with enough berths, `PORT.VOLUME` or `ELEMENT.cabin`"
    ROW_ON = "row-on" Error:
        "an action is applied to the kind of part it is for";
        "name a part that the action can be applied to"
    CONDITION = "condition" Error:
        "conditions come from a closed list";
        "see `vestibule list conditions`"
    USE_DEPTH = "use-depth" Error:
        "`use` is one level deep";
        "write the rows out"
    USE_EMPTY = "use-empty" Error:
        "a `use` plays at least one row";
        "let `until` come after `after`"
    USE_WHO = "use-who" Error:
        "`who` of a `use` is one of the person words";
        "write one of the person words"
    WAY_ORDER = "way-order" Error:
        "each contingency ingress path is tried once, in one place of the order";
        "name each path once"
    WAY_UNNAMED = "way-unnamed" Error:
        "a contingency ingress path that no architecture orders is never tried";
        "add it to `ways_back`, or take it out of the access file"
    LIST_PAIR = "list-pair" Error:
        "a list for going out needs its counterpart for coming in";
        "write both lists, or neither"
    LIST_END = "list-end" Error:
        "egress ends outside, ingress and contingency ingress paths end unsuited in a habitable \
         volume";
        "add the rows that are missing at the end"
    LIST_REST = "list-rest" Error:
        "a list ends with volumes and openings at rest";
        "add rows that close, open or repressurise what is left"
    ROW_BROKEN = "row-broken" Error:
        "every row keeps the interlocks when the list is walked dry";
        "put the rows that make it possible before this one"
    NO_ABORT = "no-abort" Error:
        "when a row of a list that starts from inside fails, another list must lead back to rest";
        "order the rows of ingress, `service-in` or `dock` so that a tail of them fits every state"
    WAY_START = "way-start" Error:
        "a contingency ingress path starts where an ingress row can leave people";
        "correct `from`"
    NO_RESTORE = "no-restore" Error:
        "`restore` puts at rest what a contingency ingress path leaves in another state";
        "write `[list] restore = [..]` rows, played by crew inside"
    ROW_NO_WAY = "row-no-way" Warning:
        "every ingress row that can fail leaves people where a contingency ingress path starts";
        "add a contingency ingress path that starts there"
    SINGLE_POINT = "single-point" Warning:
        "after any single failure given in the file, some contingency ingress path gets in \
        whoever is outside";
        "add a contingency ingress path that does not need this part, or accept the single-point \
         failure"
    CREW_HOME = "crew-home" Error:
        "everybody lives in one element: that of their activity, `crew.home` or the only habitat";
        "write `home` in `[crew]`"
    RESTORE_MODULE = "restore-module" Warning:
        "a module that the lists of a port empty is filled again by its `restore`";
        "add a `repress` row of the module, played by crew inside, to `restore`"
    CREW_MANY = "crew-many" Error:
        "a campaign has at most 12 persons";
        "name fewer persons"
    COUNT_MANY = "count-many" Error:
        "counts stay within the limits of the program";
        "write a smaller number"
    SLOTS_MANY = "slots-many" Error:
        "the activities of a campaign plan at most 20 000 sorties together";
        "lower the rate, or shorten the campaign"
    SLOT_OUTSIDE = "slot-outside" Error:
        "every planned sortie lies within the campaign";
        "move it before the end of the campaign, or lengthen the campaign"
    DOCK_JOINED = "dock-joined" Error:
        "a port with `dock` and `undock` stands on an element that is joined to another";
        "write `joined` on the element, or take the lists out"
    TRAVERSE_OVERLAP = "traverse-overlap" Error:
        "a traverse ends before the next one of the same activity departs";
        "let `every` be longer than `days`"
    TRAVERSE_ROVER = "traverse-rover" Error:
        "a traverse starts from a rover that drives";
        "let `from` name an element of kind rover with a `speed`"
    TRAVERSE_RANGE = "traverse-range" Error:
        "a rover drives out and back within its range";
        "shorten `drive`, or lengthen the rover's `range`"
    ACTIVITY_BY = "activity-by" Error:
        "work outside is reached on foot, or riding outside on a rover that drives";
        "write by = \"foot\", or give a played rover a `speed`"
    ACTIVITY_NO_PORT = "activity-no-port" Error:
        "every architecture has a port for every activity";
        "list one of this architecture's ports in `ports`"
    PORT_ELEMENT = "port-element" Error:
        "an activity leaves by ports of the element it starts from";
        "name a port of that element, or change `from`"
    PORT_NO_LISTS = "port-no-lists" Error:
        "a port that an activity uses has lists for going out and coming in";
        "write `list.egress` and `list.ingress` in its access file, or use another port"
    TEAM_CREW = "team-crew" Error:
        "a team is drawn from the crew of its activity";
        "make the team smaller, or let more of the crew take part"
    TEAM_PORT = "team-port" Error:
        "a team goes through a port, in batches where a chamber holds fewer";
        "let the chambers hold somebody, keep a berth for everybody, and let ingress rows fill \
         the chamber"
    SUITS_SHORT = "suits-short" Error:
        "a port that an activity uses has a suit for everybody of the team";
        "keep more suits there, or make the team smaller"
    INSIDE_LEAST = "inside-least" Error:
        "a sortie starts only if `inside_least` able persons stay in the element";
        "make the team smaller, or write the intended `inside_least` (0 for a rover with a crew \
        of two)"
    HOURS_WANTED = "hours-wanted" Warning:
        "the work asked for and the way there and back fit within life support less the reserve, \
        and within the duty day";
        "ask for fewer hours, or expect every sortie to fall short of its plan"
    DUTY_DAY = "duty-day" Warning:
        "duty day and rest fit within 24 hours, or no two days in a row have a sortie";
        "shorten `duty_day` or `rest_least`"
    FIXED_NUMBER = "fixed-number" Error:
        "some numbers must be certain because the layout or the plan depends on them";
        "write one value"
    PROBABILITY_MEAN = "probability-mean" Error:
        "a probability or share has a mean of at most 1; a lognormal law is cut there";
        "lower the median or the error factor"
    PROBABILITY_CAPPED = "probability-capped" Info:
        "a lognormal law of a probability can give more than 1; that counts as 1";
        "nothing to do, or lower the median or the error factor"
    CERTAIN_STUDY = "certain-study" Warning:
        "an outer loop draws unknown numbers; without any, all its parameter sets are the same";
        "write evidence or laws for rates and probabilities, or remove `outer` and `inner`"
    NOT_SHARED = "not-shared" Error:
        "parts have values of their own only where the law of lasting parts is not certain";
        "leave `shared` out"
    PER_OCCASION = "per-occasion" Error:
        "a number with one unknown value is drawn once per campaign or study, never per occasion";
        "leave `per` out, or write per = \"campaign\" or \"study\""
    EVENT_LASTS = "event-lasts" Error:
        "an event lasts longer than 0";
        "write how long it lasts"
    EVENT_SEASON = "event-season" Error:
        "a season limits an event that comes at a rate";
        "remove `season` or `every`"
    SLOT_HOUR = "slot-hour" Error:
        "`hour` is a time of the local day";
        "write an `hour` below `day` of [campaign]"
    LIMIT_STATISTIC = "limit-statistic" Error:
        "a measure that is 0 or 1 in each campaign has a limit on its mean, the share of \
        campaigns, only";
        "leave `statistic` out"
    NO_MASS = "no-mass" Error:
        "equivalent system mass needs factors";
        "write a section [mass]"
    MASS_MISSING = "mass-missing" Warning:
        "with a section `mass`, every part has a mass and every pump a power; a part without \
        counts as 0";
        "write them, or read the equivalent system mass as that of the other parts only"
    RANKING_MEASURE = "ranking-measure" Error:
        "a ranking uses measures that are better low or better high, each named once";
        "take the measure out, or name another"
    RANKING_WEIGHTS = "ranking-weights" Error:
        "weights are given for every measure of the ranking and for no other, or for none";
        "write one weight for each measure, or leave `weights` out"
    DECISION_SETS = "decision-sets" Info:
        "the value of information is computed from parameter sets";
        "run with --outer and --inner, or write `outer` and `inner` in [study]"
    DECISION_CHOICE = "decision-choice" Error:
        "a decision is between two architectures at least";
        "write another architecture, or leave [decision] out"
    DECISION_TOTAL = "decision-total" Error:
        "a decision by a ranking needs its weights; one by a limit, a limit of the mean";
        "give the ranking `weights`, or name a limit without `statistic`"
    DECISION_UNIT = "decision-unit" Error:
        "what it is worth to know something before choosing by a limit is a gain in the probability \
         that the limit is met; `unit` names what one unit of a weighted total is";
        "leave `unit` out, or choose by a ranking with weights"
    DECISION_LIMIT = "decision-limit" Error:
        "a choice by a limit is between architectures that the limit holds for";
        "name it among the `architectures` of the limit, or do not choose from it"
    DECISION_GROUP = "decision-group" Warning:
        "an entry of a group that matches no number with a law adds nothing to the value of the \
        group";
        "write the key path of such a number, or the beginning of one"
    FREE_VOLUME = "free-volume" Error:
        "free volume, less gear and the suited persons in it, is above zero";
        "enlarge the volume, or lower `gear` or `holds`"
    INSPIRED_OXYGEN = "inspired-oxygen" Error:
        "people can breathe in an element: inspired O2, (P - 6.3 kPa) x O2 fraction, is at least \
        13.3 kPa";
        "raise `pressure` or `oxygen`"
    OXYGEN_RICH = "oxygen-rich" Info:
        "above 36 % O2 few materials are qualified (from memory); fire is not modelled";
        "nothing to do if the materials allow it"
    PURGE_OXYGEN = "purge-oxygen" Warning:
        "the oxygen that suits are purged with brings no volume above 30 % O2, or above the \
         `oxygen_most` of its element";
        "send it to a larger volume or outside, purge for less time, or write the `oxygen_most` \
         that \
         all materials there are qualified for"
    OXYGEN_MOST = "oxygen-most" Error:
        "the O2 of an element stays within what its materials are qualified for";
        "lower `oxygen`, or correct `oxygen_most`"
    ORBIT_PRESSURE = "orbit-pressure" Warning:
        "the lower pressure below does not harm crew who come down from orbit: nitrogen in the \
        slow tissue over that pressure stays within the target ratio";
        "lower the nitrogen in orbit, or plan a stay at an intermediate pressure"
    ORBIT_OXYGEN = "orbit-oxygen" Warning:
        "an element in orbit is qualified for the air that comes with the crew from the surface";
        "write the `oxygen_most` that it is qualified for, or lower the O2 below"
    ORBIT_DUST = "orbit-dust" Warning:
        "suits that worked on the surface bring no more dust into an element in orbit than its \
        filter removes within the 24-hour limit; nothing settles there";
        "say how clean suits come (`suit_dust`), or raise `filter_flow`"
    ORBIT_PORT = "orbit-port" Error:
        "a suit port of an element in orbit is compatible with the suits that hang at ports \
        below: its pressure with its control band stays within their limit";
        "lower its pressure, or leave the port out"
    ORBIT_KEY = "orbit-key" Warning:
        "`suit_dust` is used only for elements that are checked and not played; in play suits \
        carry what they pick up";
        "take it out"
    OPENING_SIDES = "opening-sides" Error:
        "an opening joins two different volumes";
        "write the two volumes it joins"
    OPENING_REST = "opening-rest" Error:
        "only a suit interface is `mated` at rest, and it is never `open`";
        "write the state that this kind of opening can have"
    REST_PRESSURE = "rest-pressure" Error:
        "an opening that rests open joins volumes that rest within 1 kPa of each other";
        "let it rest shut, or give both volumes one pressure"
    VALVE_BORE = "valve-bore" Error:
        "a valve has a diameter, from which its flow follows";
        "write `diameter`"
    PUMP_STOP = "pump-stop" Error:
        "a pump stops between ambient and the pressure of the element";
        "write a `stop` in between"
    PUMP_TWICE = "pump-twice" Error:
        "a volume has one pump";
        "remove one of the two, or put it on another volume"
    PUMP_TO = "pump-to" Error:
        "a pump moves gas to the store or to another volume than the one it empties";
        "write `store` or another volume in `to`"
    STAGE_REMOVES = "stage-removes" Warning:
        "a cleaning stage removes dust";
        "write `removes`"
    ROW_KEY = "row-key" Error:
        "a key of a row applies to its action";
        "remove the key, or change the action"
    ROW_TO = "row-to" Error:
        "`to` names a pressure that the action can bring it to";
        "write `working` for suits only, and `outside` for `depress` and `vent` only"
    ROW_TIME = "row-time" Warning:
        "a row takes time unless physics gives it; without `takes` this one takes none";
        "write `takes`"
    WAIT_END = "wait-end" Error:
        "a `wait` has an end";
        "write `takes` or `until`"
    IF_FAILS = "if-fails" Error:
        "`abort` belongs to going out, `next way back` to coming in";
        "remove `if_fails`, or write `retry N` or `go on`"
    VENT_VALVE = "vent-valve" Error:
        "`vent` goes through a valve to outside, or says how long it takes";
        "declare a valve between the volume and outside, or write `takes`"
    DEPRESS_PUMP = "depress-pump" Error:
        "`depress` goes through a pump";
        "declare a pump on the volume, or write `vent`"
    DEPRESS_LEVEL = "depress-level" Error:
        "`depress` goes to a level from the pump's stop up, below the pressure at rest";
        "correct `to`, or leave it out: the pump's stop; what is below it takes a `vent`"
    STAGE_KIND = "stage-kind" Error:
        "`clean` uses a cleaning stage, `recharge` a panel or an umbilical";
        "name a stage of the right kind"
    TRAVEL_MEANS = "travel-means" Error:
        "the means of travel exists";
        "add the rover with a `speed`, mark the ascent vehicle with `ascent = true`, or change `by`"
    NO_PORT_LIMIT = "no-port-limit" Error:
        "only a rear-entry suit, which has a `port_limit`, hangs at a berth";
        "keep another suit there, or write its `port_limit`"
    PORT_LIMIT = "port-limit" Error:
        "cabin pressure with its control band, less the pressure around the suit, stays within \
         the suit's limit at a port";
        "lower the cabin pressure or its band, or raise `port_limit`"
    SUIT_PRESSURE = "suit-pressure" Warning:
        "suits work at up to about 8 psi above what is outside (common practice)";
        "lower `pressure` if this was not intended"
    SHARED_PRESSURE = "shared-pressure" Warning:
        "a cabin that shares its pressure with suits at berths is set at up to 8.2 psi (common \
         practice)";
        "lower the cabin pressure if this was not intended"
    SUIT_PLATE = "suit-plate" Error:
        "the back plate of a suit fits through every opening its wearer needs";
        "widen the opening (`clear`), or take another suit"
    CLEAR_MISSING = "clear-missing" Info:
        "an opening that suited crew pass has a clear width to compare with their suits";
        "write `clear`"
    SUIT_SERVICE = "suit-service" Warning:
        "a suit that hangs outdoors can be brought indoors for maintenance";
        "write `list.service-in` and `list.service-out`, or leave `maintenance_every` out"
    MODE_IDLE = "mode-idle" Info:
        "a failure mode applies to parts that some architecture has";
        "nothing to do if it is intended for another campaign"
    MODE_TRIGGER = "mode-trigger" Error:
        "a failure mode is tested when its part is used";
        "change `when` or `on`"
    MODE_EFFECT = "mode-effect" Error:
        "the effect of a failure mode is one that its part can have";
        "change `effect` or `on`"
    STUCK_TRIGGER = "stuck-trigger" Warning:
        "an opening sticks shut when it is opened or unmated, open when it is closed or mated";
        "change the effect or `when`"
    BETA_LIFE = "beta-life" Error:
        "a common cause splits a probability or a rate, never a life";
        "write a probability or a rate, or leave `common` out"
    GROUP_DIFFERS = "group-differs" Error:
        "the modes of a common-cause group have one trigger, one law and one beta";
        "make them equal, or write two groups"
    WORN = "worn" Error:
        "a factor from an age on goes with a probability or rate of a part of its own";
        "write a life, or leave `worn` out; write one row for the common cause and one for the \
        wear"
    MODE_MIXED = "mode-mixed" Error:
        "a mode of people or suits applies to no other kind of part";
        "write a mode of its own for each"
    SEVERITY = "severity" Error:
        "an incapacitation says how severe it is; other effects do not";
        "write `severity` (and `treatment`) with effect = \"crew incapacitated\" only"
    REPAIR_CREW = "repair-crew" Error:
        "the crew can do every repair";
        "let fewer persons work on it"
    INSPECTION = "inspection" Warning:
        "a failure that is noticed at the next inspection needs inspections";
        "write `inspection_every` in [campaign]"
    SPARE_NONE = "spare-none" Warning:
        "a repair that uses a spare has some, from the start or by resupply";
        "raise its `count`, or bring it by `resupply`"
    WITHOUT_SPARE = "without-spare" Warning:
        "`without_spare` is for a repair that uses a spare";
        "name the `spare`, or write the chance as `success`"
    REPAIR_NEVER = "repair-never" Warning:
        "a repair can begin at some time: somebody can reach the part, with pressure where the \
        row asks for it";
        "write `from = \"anywhere\"`, fewer `crew`, or `restore` rows that fill the volume beside \
         it"
    REPAIR_ENDLESS = "repair-endless" Error:
        "a repair that takes no time can succeed";
        "write how long an attempt takes, or a probability of success above 0"
    RESUPPLY_LATE = "resupply-late" Warning:
        "a resupply flight arrives within the campaign";
        "move `at`, or remove the flight"
    PORT_STORE = "port-store" Error:
        "an element with a port has one gas store that feeds it";
        "name a store in the element's `store`"
    PREBREATHE_RATIO = "prebreathe-ratio" Error:
        "breathing suit gas brings the tissue ratio to its target";
        "raise the suit's `purity` or `pressure`, or the target ratio"
    PREBREATHE_MISSING = "prebreathe-missing" Warning:
        "going out from a cabin whose nitrogen is above the target ratio needs a `prebreathe` row";
        "add the row to `list.egress`, or lower the nitrogen of the cabin"
    HAVEN_PLACES = "haven-places" Warning:
        "the safe havens together shelter the whole crew";
        "raise `haven_people`, or expect people without a safe haven"
    HAVEN_DAYS = "haven-days" Warning:
        "people can stay in a safe haven for longer than 0";
        "write `haven_days`, or haven_people = 0"
    JOINED_OPENING = "joined-opening" Warning:
        "joined elements have an opening between their cabins";
        "declare the opening on one of them"
    DUST_DAYS = "dust-days" Warning:
        "the published limit of 0.1 mg/m3 for Martian dust covers stays of up to 30 days \
         (NASA-STD-3001 Vol 2 Rev F, \
         read at second hand)";
        "ask for a limit that covers the stay, and read dust results with that in mind"
    ADDS_UP = "adds-up" Error:
        "only leaks and slowness add up";
        "remove `adds_up`, or let the effect be `leak` or `slower`"
    ONLY_DUSTY = "only-dusty" Error:
        "`only_dusty` applies to an opening when it is opened, closed, mated, unmated or holds \
        pressure";
        "remove `only_dusty`, or change `when`"
    OUTDOORS = "outdoors" Error:
        "hours outdoors are those of suits at berths: they take a rate per calendar hour, no \
        life and no common cause";
        "remove `outdoors`, or write on = \"suit\", when = \"per calendar hour\" and a rate"
    COVER_PLACE = "cover-place" Error:
        "a cover shelters the suit that hangs at a suit interface";
        "move `cover` to the suit interface"
    LEAK_ALLOWED = "leak-allowed" Warning:
        "a clean seal passes its pressure check";
        "raise `leak_allowed` above `leak`"
    STAGE_CAPTURES = "stage-captures" Warning:
        "what a stage outside removes is gone; `captures` says how much a stage inside holds";
        "remove `captures`, or let the stage be in a volume"
    BIOBURDEN_LIMIT = "bioburden-limit" Warning:
        "a limit on living cells needs the bioburden of cabin air";
        "write `bioburden` in [campaign]"
    WAY_GAS = "way-gas" Info:
        "a contingency ingress path that fills a volume usually asks first whether the gas covers \
         it";
        "add `gas covers X` to `needs`; without it the list still does not open on a short store"
    WAY_NEVER = "way-never" Warning:
        "the conditions of a contingency ingress path can all hold at the same time";
        "remove the path from `ways_back`, or correct its `needs`"
    UNUSED_ENTRY = "unused-entry" Info:
        "everything that is written is used somewhere; what is not used is hardly checked";
        "nothing to do if it is intended for later"
    }
}

/// A rule by its id; the ids in [`crate::plan`] are all here (a test reads them).
pub fn by_id(id: &str) -> &'static Rule {
    rules().find(|r| r.id == id).unwrap_or(&UNKNOWN_NAME)
}

/// Every rule in the order of the documentation.
pub fn rules() -> impl Iterator<Item = &'static Rule> {
    READER_RULES.iter().chain(SWEEP_RULES).chain(CHECK_RULES).chain(super::ANSWER_RULES)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn identifiers_are_unique_over_all_stages() {
        let ids: BTreeSet<_> = rules().map(|r| r.id).collect();
        assert_eq!(ids.len(), rules().count());
    }
}
