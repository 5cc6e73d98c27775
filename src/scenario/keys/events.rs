//! Keys of what happens: activities, failure modes, events of the site.

use crate::base::units::Dimension::*;
use crate::scenario::key::{Kind, Range, Section, certain, key, share, unknown, varies};
use Range::{NonNegative, Positive};

pub const ACTIVITY: Section = Section {
    name: "activity.NAME",
    doc: "planned sorties of one kind",
    sourced: true,
    keys: &[
        key("from", Kind::Text, "element it starts from"),
        key("ports", Kind::Texts, "ports; the first intact one is used"),
        key("team", Kind::Count(1), "persons"),
        key("crew", Kind::Texts, "persons who go out; left out: everybody").optional(),
        certain("per_week", Pure, Positive, "sorties a week, or else `at` or `traverse`")
            .plausible("0.05", "14")
            .optional(),
        key("at", Kind::Form("a list of times"), "times of the slots").optional(),
        key(
            "traverse",
            Kind::Table("activity.NAME.traverse"),
            "sorties during days away with a \
            rover",
        )
        .optional(),
        certain("hour", Time, NonNegative, "time of the local day at which its slots begin")
            .plausible("1 min", "1000 h")
            .optional(),
        varies("hours", Time, NonNegative, "hours of work per sortie; 0: out and straight back in")
            .plausible("10 min", "10 h"),
        certain(
            "nominal_hours",
            Time,
            Positive,
            "hours that `dust` is given for; left out: mean of `hours`",
        )
        .plausible("10 min", "12 h")
        .optional(),
        varies(
            "overhead",
            Time,
            NonNegative,
            "crew time per person and sortie for briefing, tools and servicing: half before the \
            first egress row, half after the last ingress row; it counts in the duty day",
        )
        .plausible("5 min", "8 h")
        .or("0 h"),
        varies("distance", Length, NonNegative, "one way").plausible("1 m", "30 km").or("0 m"),
        key("by", Kind::Word("means of travel"), "on foot, or riding outside on a rover")
            .or("foot"),
        varies("dust", Mass, NonNegative, "dust on a suit in the nominal hours")
            .plausible("0.01 g", "2 kg"),
        varies("work", Power, Positive, "metabolic rate; left out: that of the crew")
            .plausible("100 W", "800 W")
            .optional(),
        key("suit", Kind::Text, "kind of suit; left out: those placed at the port").optional(),
    ],
};

pub const TRAVERSE: Section = Section {
    name: "activity.NAME.traverse",
    doc: "the rover goes out for some days",
    sourced: true,
    keys: &[
        certain(
            "first",
            Time,
            NonNegative,
            "first day of the first one; the crew drives out then, or, where the activity has an \
            `hour`, on the evening before: 9 h after that hour (assumed)",
        )
        .plausible("1 h", "3000 d"),
        certain("every", Time, Positive, "time between departures"),
        key("count", Kind::Count(1), "how many traverses"),
        key("days", Kind::Count(1), "days with sorties"),
        key("per_day", Kind::Count(1), "sorties a day"),
        certain("drive", Length, NonNegative, "distance out, and the same back")
            .plausible("10 m", "1000 km"),
        varies(
            "each_day",
            Length,
            NonNegative,
            "distance driven on each further day, at the \
            same distance from home",
        )
        .plausible("10 m", "300 km")
        .or("0 km"),
        certain(
            "repair_within",
            Time,
            NonNegative,
            "time after which a rover that cannot drive \
            is left",
        )
        .plausible("1 min", "30 d")
        .or("24 h"),
    ],
};

pub const FAILURE: Section = Section {
    name: "failure.NAME",
    doc: "one failure mode or hazard; the first in the file acts where several occur at once",
    sourced: true,
    keys: &[
        key("on", Kind::Texts, "kinds of part, or parts by name"),
        key("when", Kind::Word("trigger"), "when it can occur, with its unit of exposure"),
        key(
            "law",
            Kind::Form(
                "a probability, a rate, evidence, or { life, shape } (laws too), as `when` says",
            ),
            "how often it occurs (unknown)",
        ),
        key("worn", Kind::Table("failure.NAME.worn"), "greater hazard from an age on").optional(),
        key("shared", Kind::Flag, "does the unknown in `law` have one value for all parts?")
            .or("true"),
        key("effect", Kind::Word("effect"), "what it does"),
        unknown("factor", Pure, Positive, "of `slower` and `leak`").or("2"),
        key("holds", Kind::Flag, "does a leaking part pass its pressure check?").or("true"),
        unknown("dusty", Pure, NonNegative, "factor while the seal carries dust").or("1"),
        key("only_dusty", Kind::Flag, "occurs only at dirty closings or on a dirty seal")
            .or("false"),
        key("adds_up", Kind::Flag, "can occur again before it is repaired; factors multiply")
            .or("false"),
        key("outdoors", Kind::Flag, "counts the hours a suit hangs outdoors").or("false"),
        key("common", Kind::Table("failure.NAME.common"), "common cause").optional(),
        key("noticed", Kind::Word("time of noticing"), "when it is noticed").or("at once"),
        key("during", Kind::Word("part of a sortie"), "part of a sortie in which it can occur")
            .optional(),
        key(
            "severity",
            Kind::Form(
                "a severity, or shares such as { \"walks with help\" = 0.7, \"must be \
             carried\" = 0.3 }",
            ),
            "of an incapacitation",
        )
        .optional(),
        varies("treatment", Time, NonNegative, "time allowed until the person is out of the suit")
            .plausible("1 min", "48 h")
            .optional(),
        key(
            "off_duty",
            Kind::Form("a time, or \"for good\""),
            "how long the person is away (varies)",
        )
        .or("14 d"),
        key("repair", Kind::Table("failure.NAME.repair"), "how it is repaired; left out: never")
            .optional(),
    ],
};

pub const WORN: Section = Section {
    name: "failure.NAME.worn",
    doc: "the hazard is greater from an age on; age counts from when the part was new",
    sourced: true,
    keys: &[
        key(
            "from",
            Kind::Form("demands (a bare number), a time or a length, as `when` counts"),
            "age at which it begins (unknown)",
        ),
        unknown("factor", Pure, Positive, "factor on the hazard from that age on"),
    ],
};

pub const COMMON_CAUSE: Section = Section {
    name: "failure.NAME.common",
    doc: "equal parts that can fail together by one cause",
    sourced: true,
    keys: &[
        key("group", Kind::Text, "name of the group"),
        share("beta", "share of the probability or rate that fails all members"),
    ],
};

pub const REPAIR: Section = Section {
    name: "failure.NAME.repair",
    doc: "how it is repaired",
    sourced: true,
    keys: &[
        varies("takes", Time, NonNegative, "elapsed time of an attempt")
            .plausible("1 min", "100 h"),
        key("crew", Kind::Count(0), "number of persons who work on it"),
        key("spare", Kind::Text, "kind of spare used up when an attempt ends").optional(),
        share("success", "probability that an attempt works").or("1"),
        share(
            "without_spare",
            "probability that an attempt without a spare works; left out: none is made",
        )
        .optional(),
        key("from", Kind::Word("side of repair"), "side from which it can be done").or("inside"),
        key("renews", Kind::Word("renewal"), "what it makes new").or("as new"),
        certain("replace_every", Time, Positive, "planned replacement, failed or not")
            .plausible("1 d", "3000 d")
            .optional(),
    ],
};

pub const EVENT: Section = Section {
    name: "environment.NAME",
    doc: "something at the site that comes at a rate or by the calendar, and lasts a while",
    sourced: true,
    keys: &[
        unknown("rate", PerTime, NonNegative, "announcements while none is in force, or `every`")
            .plausible("1e-3 /a", "400 /a")
            .optional(),
        certain(
            "every",
            Time,
            Positive,
            "time between onsets of an event that comes by the \
            calendar",
        )
        .optional(),
        certain("first", Time, NonNegative, "its first onset").plausible("1 h", "3000 d").or("0 h"),
        varies("warning", Time, NonNegative, "from announcement to onset")
            .plausible("1 min", "30 d")
            .or("0 h"),
        varies("lasts", Time, NonNegative, "from onset").plausible("1 min", "400 d"),
        key("effect", Kind::Word("environment effect"), "what it does to plans"),
        key("shelter", Kind::Flag, "people have to be in a shelter while it lasts").or("false"),
        key("season", Kind::Table("environment.NAME.season"), "when it can come; left out: always")
            .optional(),
        key("rovers_return", Kind::Flag, "a rover on a traverse turns home when it is announced")
            .or("false"),
    ],
};

pub const SEASON: Section = Section {
    name: "environment.NAME.season",
    doc: "the part of a year in which an event is announced",
    sourced: true,
    keys: &[
        certain("first", Time, NonNegative, "its first beginning").plausible("1 h", "3000 d"),
        certain("lasts", Time, Positive, "its length").plausible("1 min", "400 d"),
        certain("every", Time, Positive, "time between beginnings: the year"),
    ],
};
