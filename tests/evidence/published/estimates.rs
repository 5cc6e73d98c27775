//! Intervals, ranks and moments: what the program says about its own simulation noise.

use super::record::Standing::{CommonPractice, FromMemory, Read, Restated, SecondHand};
use super::record::{Check, Group, check, plain, relative};
use vestibule::stats::beta::{binomial_at_most, normal_z, student_t};
use vestibule::stats::interval::{clopper_pearson, garwood, jeffreys, none_seen_upper, wilson};
use vestibule::stats::moments::Moments;
use vestibule::stats::quantile::ranks;

const RECOMPUTED: &str = "recomputed with scipy (beta.ppf, binomtest)";

/// Clopper-Pearson, Wilson, Jeffreys, nothing seen.
pub fn shares() -> Group {
    let mut checks = table();
    checks.extend(trials());
    checks.extend(coverage());
    checks.extend(binomial_tails());
    Group {
        title: "Intervals of shares".into(),
        about: "One worked example is printed by a standards body (NIST/SEMATECH e-Handbook); two \
            more rows \
                are what a published trial concluded. The rest is recomputed with an independent \
                library.",
        checks,
    }
}

fn table() -> Vec<Check> {
    // Seen, of, left outside; Clopper-Pearson, Wilson, Jeffreys (upper limits, then lower ones).
    let rows = [
        (0, 10, 0.05, [0.308497108, 0.2775328, 0.217196268], None),
        (0, 30, 0.05, [0.115703308, 0.113513393, 0.0796781738], None),
        (0, 100, 0.05, [0.0362166926, 0.0369934982, 0.02474527], None),
        (0, 300, 0.05, [0.0122209747, 0.0126429712, 0.00833126512], None),
        (0, 1000, 0.05, [0.0036820839, 0.00382675849, 0.00250816434], None),
        (0, 1_000_000, 0.05, [3.68887265e-6, 3.84144406e-6, 2.51193931e-6], None),
        (
            1,
            10,
            0.05,
            [0.445016117, 0.404150027, 0.381314771],
            Some([0.00252857854, 0.0178762131, 0.0110116738]),
        ),
        (
            3,
            100,
            0.05,
            [0.085176053, 0.0845193643, 0.0778875694],
            Some([0.00622997154, 0.010254524, 0.00852028311]),
        ),
        (
            10,
            100,
            0.05,
            [0.176222598, 0.174365662, 0.17012393],
            Some([0.0490046892, 0.0552291371, 0.0525846753]),
        ),
        (
            5,
            10,
            0.05,
            [0.812913972, 0.763406909, 0.77647133],
            Some([0.187086028, 0.236593091, 0.22352867]),
        ),
        (
            4,
            20,
            0.10,
            [0.401028117, 0.378376686, 0.372739285],
            Some([0.0713538843, 0.0931180166, 0.0873350328]),
        ),
        (
            2,
            1_000_000,
            0.05,
            [7.224669e-6, 7.29295639e-6, 6.416235e-6],
            Some([2.42209e-7, 5.4847231e-7, 4.15606e-7]),
        ),
        (
            50,
            1_000_000,
            0.05,
            [6.591824e-5, 6.59116355e-5, 6.53493364e-5],
            Some([3.711118e-5, 3.79294244e-5, 3.75419598e-5]),
        ),
    ];
    let names = ["Clopper-Pearson", "Wilson", "Jeffreys"];
    let mut out = Vec::new();
    for (seen, n, outside, high, low) in rows {
        let got = [
            clopper_pearson(seen as f64, n as f64, outside),
            wilson(seen, n, outside),
            jeffreys(seen, n, outside),
        ];
        for i in 0..3 {
            let what = format!("{seen} of {n}, {:.0} %: {}", 100.0 * (1.0 - outside), names[i]);
            if let Some(low) = low {
                // Printed to six digits where the smallest are.
                let what = format!("{what}, lower limit");
                out.push(
                    check(&what, "", got[i].0, low[i], relative(2e-6)).from(Restated, RECOMPUTED),
                );
            }
            let what = format!("{what}, upper limit");
            out.push(
                check(&what, "", got[i].1, high[i], relative(1e-6)).from(Restated, RECOMPUTED),
            );
        }
    }
    let nothing = [
        (10.0, 0.258865551),
        (30.0, 0.0950338529),
        (59.0, 0.0495076099),
        (100.0, 0.0295130496),
        (300.0, 0.00993608194),
        (1000.0, 0.00299124955),
        (1e6, 2.99572779e-6),
    ];
    out.extend(nothing.map(|(n, upper)| {
        check(
            &format!("nothing seen in {n}: one-sided 95 % upper limit"),
            "",
            none_seen_upper(n, 0.05),
            upper,
            relative(1e-8),
        )
        .from(
            FromMemory,
            "1 - 0.05^(1/n); rule of three: Hanley and Lippman-Hand 1983, from memory",
        )
    }));
    out
}

fn trials() -> Vec<Check> {
    let (low, high) = clopper_pearson(4.0, 20.0, 0.10);
    let nist = "NIST/SEMATECH e-Handbook 7.2.4.1 (mirrored page): pL 0.071354, pU 0.401029";
    // One-sided 95 %: half of 10 % on each side.
    let sick = clopper_pearson(2.0, 50.0, 0.10).1;
    let bubbles = none_seen_upper(50.0, 0.05);
    let trial = "counts NTRS 20230015380, limits studylib 14529466 (15 % and 20 % at 95 % \
        confidence); bounds own arithmetic";
    vec![
        check("4 of 20 at 90 %: lower limit", "", low, 0.071354, plain(2e-6)).from(Read, nist),
        check("4 of 20 at 90 %: upper limit", "", high, 0.401029, plain(2e-6))
            .from(Read, nist)
            .note(
                "printed rounded up by one in the last digit; 0.4010281 by two independent \
                programs",
            ),
        check("C13 2 of 50 sick, upper bound", "", sick, 0.1206, plain(0.0005))
            .from(Read, trial)
            .note(
                "below 0.15: accepted, as published; repeated exposures of one person taken as \
                independent",
            ),
        check("C13 0 of 50 with grade IV bubbles, upper bound", "", bubbles, 0.0582, plain(0.0005))
            .from(Read, trial)
            .note("below 0.20: accepted, as published"),
    ]
}

fn coverage() -> Vec<Check> {
    type Method = fn(u64, u64) -> (f64, f64);
    let methods: [(&str, Method); 3] = [
        ("Clopper-Pearson", |x, n| clopper_pearson(x as f64, n as f64, 0.05)),
        ("Wilson", |x, n| wilson(x, n, 0.05)),
        ("Jeffreys", |x, n| jeffreys(x, n, 0.05)),
    ];
    let cases = [
        (50_u64, 0.05_f64, [0.988214, 0.962224, 0.885279]),
        (1000, 0.005, [0.979877, 0.961881, 0.928444]),
        (1000, 1e-4, [0.995325, 0.904833, 0.904833]),
    ];
    let mut out = Vec::new();
    for (n, share, expected) in cases {
        for ((name, method), expected) in methods.iter().zip(expected) {
            let covers = |x: u64| {
                let (low, high) = method(x, n);
                low <= share && share <= high
            };
            let below = |x: u64| x.checked_sub(1).map_or(0.0, |y| binomial_at_most(n, share, y));
            // Past 60 the binomial law of these cases has less than 1e-30 left.
            let covered: f64 = (0..=n.min(60))
                .filter(|&x| covers(x))
                .map(|x| binomial_at_most(n, share, x) - below(x))
                .sum();
            let what = format!("coverage of the 95 % {name} interval, n = {n}, p = {share}");
            out.push(
                check(&what, "", covered, expected, plain(1e-5))
                    .formula()
                    .note("exact, by summing over all outcomes"),
            );
        }
    }
    out
}

/// k of n by the binomial tail; R = exp(-0.1).
fn binomial_tails() -> Vec<Check> {
    let fails = -(-0.1_f64).exp_m1();
    let book = "standard forms, e.g. MIL-HDBK-338B, from memory";
    let mut rows: Vec<Check> = [
        ("one of two works, R = exp(-0.1)", 2, 1, fails, 0.990944082994),
        ("two of three work", 3, 1, fails, 0.974555817871),
        ("two of four work", 4, 2, fails, 0.996798891121),
        ("two of three work, R = 0.9", 3, 1, 0.1, 0.972),
    ]
    .map(|(what, n, most, q, expected)| {
        check(what, "", binomial_at_most(n, q, most), expected, relative(1e-10))
            .from(FromMemory, book)
    })
    .to_vec();
    // The smallest number of runs whose largest lies above the 95 % point with 95 % confidence.
    let (without, with) = (none_seen_upper(58.0, 0.05), none_seen_upper(59.0, 0.05));
    let smallest = f64::from(u8::from(without > 0.05 && with <= 0.05));
    rows.push(
        check(
            "59 and not 58 runs for 95 % coverage with 95 % confidence",
            "",
            smallest,
            1.0,
            plain(0.0),
        )
        .from(FromMemory, "Wilks 1941, from memory"),
    );
    for (what, share, confidence, runs) in [
        ("99 % coverage with 95 % confidence", 0.01, 0.05, 299.0),
        ("95 % coverage with 99 % confidence", 0.05, 0.01, 90.0),
    ] {
        let is = |n: f64| none_seen_upper(n, confidence) <= share;
        let is = f64::from(u8::from(is(runs) && !is(runs - 1.0)));
        rows.push(
            check(&format!("{runs} runs for {what}"), "", is, 1.0, plain(0.0))
                .from(FromMemory, "Wilks 1941, from memory"),
        );
    }
    for (share, n, expected) in
        [(0.05_f64, 50_u64, 0.919867), (0.005, 1000, 0.870650), (1e-4, 1000, 0.095167)]
    {
        // The textbook interval that this program does not use, and why.
        let covers = |x: u64| {
            let p = x as f64 / n as f64;
            (p - share).abs() <= normal_z(0.05) * (p * (1.0 - p) / n as f64).sqrt()
        };
        let below = |x: u64| x.checked_sub(1).map_or(0.0, |y| binomial_at_most(n, share, y));
        let chance = |x: u64| binomial_at_most(n, share, x) - below(x);
        let covered: f64 = (0..=60.min(n)).filter(|x| covers(*x)).map(chance).sum();
        let what = format!("coverage of the symmetric interval, n = {n}, p = {share}");
        rows.push(check(&what, "", covered, expected, plain(1e-5)).formula());
    }
    for (order, runs) in [(2_u64, 93_u64), (3, 124), (4, 153), (5, 181), (6, 208)] {
        // Fewer than `order` of the runs lie above the 95 % point with at most 5 %.
        let enough = |n: u64| binomial_at_most(n, 0.05, order - 1) <= 0.05;
        let is = f64::from(u8::from(enough(runs) && !enough(runs - 1)));
        rows.push(
            check(&format!("{runs} runs at order {order}"), "", is, 1.0, plain(0.0))
                .from(FromMemory, "Wilks 1941, from memory"),
        );
    }
    rows
}

/// Poisson limits, ranks of quantiles, Student's t, moments.
pub fn counts_and_means() -> Group {
    let mut checks = counts();
    checks.extend(quantile_ranks());
    checks.extend(moments());
    Group {
        title: "Counts, quantiles and means".into(),
        about: "Exact Poisson limits of counts, ranks that enclose a quantile, Student's t, and \
            the certified \
                sets of NIST StRD on which naive variances fail.",
        checks,
    }
}

fn counts() -> Vec<Check> {
    let table = "standard published table of exact Poisson limits, recomputed";
    let mut rows = Vec::new();
    for (seen, low, high, one_sided) in [
        (0, 0.0, 3.688879, 2.995732),
        (1, 0.025318, 5.571643, 4.743865),
        (2, 0.242209, 7.224688, 6.295794),
        (3, 0.618672, 8.767273, 7.753657),
        (5, 1.623486, 11.668332, 10.513035),
        (10, 4.795389, 18.390356, 16.962219),
    ] {
        let got = garwood(seen, 0.05);
        for (what, got, expected) in [
            ("95 %, lower limit", got.0, low),
            ("95 %, upper limit", got.1, high),
            ("one-sided 95 %, upper limit", garwood(seen, 0.10).1, one_sided),
        ] {
            rows.push(
                check(&format!("{seen} events: {what}"), "", got, expected, plain(1e-6))
                    .from(CommonPractice, table),
            );
        }
    }
    // Significant incidents in about 239 sorties: Poisson limits in per cent, as derived from them.
    let chart = "counts: Flight Safety Office chart JS-2018-031 (column order inferred); 239: sum \
        of ISS systems book p. 281; \
                 limits own arithmetic";
    for (what, seen, low, high, by) in [
        ("early termination", 14, 3.2, 9.8, 0.05),
        ("notable injury", 12, 2.6, 8.8, 0.05),
        ("system issue", 56, 17.7, 30.5, 0.1),
        ("hatch kept shut", 1, 0.01, 2.3, 0.05),
    ] {
        let got = garwood(seen, 0.05);
        let percent = 100.0 / 239.0;
        rows.push(
            check(
                &format!("{what}, {seen} in 239: lower limit"),
                "%",
                percent * got.0,
                low,
                plain(by),
            )
            .from(Read, chart),
        );
        rows.push(
            check(
                &format!("{what}, {seen} in 239: upper limit"),
                "%",
                percent * got.1,
                high,
                plain(by),
            )
            .from(Read, chart),
        );
    }
    let handbook = "T over the one-sided upper limit of the count: NIST e-Handbook 8.4.5.1, as \
        quoted in public notes";
    for (confidence, factor) in [
        (0.6, 1.091356668),
        (0.8, 0.621334935),
        (0.9, std::f64::consts::LOG10_E),
        (0.95, 0.333808201),
    ] {
        let got = 1.0 / garwood(0, 2.0 * (1.0 - confidence)).1;
        let what = format!(
            "lower limit of the time between failures, none seen in T, {:.0} %, over T",
            100.0 * confidence
        );
        rows.push(check(&what, "", got, factor, relative(1e-8)).from(SecondHand, handbook));
    }
    let two = 1000.0 / garwood(2, 0.2).1;
    rows.push(
        check("the same, two seen in 1000 h, 90 %", "h", two, 187.887977, relative(1e-8))
            .from(SecondHand, handbook),
    );
    rows
}

fn quantile_ranks() -> Vec<Check> {
    let mut rows = Vec::new();
    for (n, q, low, high) in [
        (100_u64, 0.5, 40.0, 61.0),
        (1000, 0.5, 469.0, 532.0),
        (1000, 0.95, 936.0, 964.0),
        (10_000, 0.99, 9880.0, 9920.0),
        (10_000, 0.999, 9983.0, 9997.0),
    ] {
        let got = ranks(n, q);
        let rank = |r: Option<u64>| r.map_or(f64::NAN, |r| r as f64);
        for (side, got, expected) in [("lower", rank(got.0), low), ("upper", rank(got.1), high)] {
            let what = format!("{side} rank about the {q} quantile of {n} values, 95 %");
            rows.push(check(&what, "", got, expected, plain(0.0)).formula());
        }
    }
    for (n, q, low, high, coverage) in [
        (100_u64, 0.5, 40_u64, 61_u64, 0.964800),
        (1000, 0.5, 469, 532, 0.953709),
        (1000, 0.95, 936, 964, 0.958095),
        (10_000, 0.99, 9880, 9920, 0.955755),
        (10_000, 0.999, 9983, 9997, 0.975458),
    ] {
        // As many values lie below the quantile as put it between the two ranks.
        let got = binomial_at_most(n, q, high - 1) - binomial_at_most(n, q, low - 1);
        let what = format!("coverage of ranks {low} and {high} about the {q} quantile of {n}");
        rows.push(check(&what, "", got, coverage, plain(1e-6)).formula());
    }
    for (share, runs) in
        [(1e-2, 38_031.0), (1e-3, 383_762.0), (1e-4, 3_841_075.0), (1e-5, 38_414_205.0)]
    {
        let z: f64 = normal_z(0.05);
        let got = (z * z * (1.0 - share) / share / 0.01).ceil();
        let what = format!("campaigns for a half width of 10 % of a share of {share}, 95 %");
        rows.push(check(&what, "", got, runs, plain(0.0)).formula());
    }
    for (runs, least, most) in
        [(200, 179, 198), (400, 364, 393), (1000, 926, 971), (2000, 1867, 1931), (5000, 4698, 4799)]
    {
        // Nearest counts beyond which at most 0.05 % are left on either side, at a coverage of 95 %.
        let below = |k: u64| binomial_at_most(runs, 0.95, k - 1);
        let above = |k: u64| 1.0 - binomial_at_most(runs, 0.95, k);
        let is = below(least) <= 5e-4
            && below(least + 1) > 5e-4
            && above(most) <= 5e-4
            && above(most - 1) > 5e-4;
        let what = format!("{least} to {most} of {runs} intervals cover, 99.9 %");
        rows.push(check(&what, "", f64::from(u8::from(is)), 1.0, plain(0.0)).formula());
    }
    for (freedom, t) in [
        (4.0, 2.776445105),
        (9.0, 2.262157163),
        (19.0, 2.093024054),
        (29.0, 2.045229642),
        (99.0, 1.984216952),
    ] {
        let what = format!("Student's t, {freedom} degrees of freedom, two-sided 95 %");
        rows.push(
            check(&what, "", student_t(freedom, 0.05), t, relative(1e-9))
                .from(CommonPractice, "standard tables, recomputed"),
        );
    }
    rows.push(
        check("normal, two-sided 95 %", "", normal_z(0.05), 1.959963984540, relative(1e-11))
            .from(CommonPractice, "standard tables, recomputed"),
    );
    rows
}

fn moments() -> Vec<Check> {
    let certified = "NIST StRD, definition as quoted in several public test suites";
    // First value, then 500 times (first - 0.1, first + 0.1).
    let accumulate = |first: f64| -> Moments {
        std::iter::once(first)
            .chain((0..1000).map(|i| if i % 2 == 0 { first - 0.1 } else { first + 0.1 }))
            .collect()
    };
    let one: Moments = [10_000_001.0, 10_000_003.0, 10_000_002.0].into_iter().collect();
    let sd = |m: &Moments| m.sd().unwrap_or(f64::NAN);
    let mut rows = vec![
        check("NumAcc1: mean", "", one.mean, 10_000_002.0, relative(1e-15))
            .from(SecondHand, certified),
        check("NumAcc1: sd", "", sd(&one), 1.0, relative(1e-14)).from(SecondHand, certified),
    ];
    for (name, first, by) in
        [("NumAcc2", 1.2, 1e-12), ("NumAcc3", 1_000_000.2, 1e-9), ("NumAcc4", 10_000_000.2, 1e-7)]
    {
        let m = accumulate(first);
        rows.push(
            check(&format!("{name}: mean"), "", m.mean, first, relative(1e-14))
                .from(SecondHand, certified),
        );
        rows.push(
            check(&format!("{name}: sd"), "", sd(&m), 0.1, relative(by))
                .from(SecondHand, certified)
                .note("as far as the numbers themselves carry it in this format"),
        );
    }
    let (mut left, right): (Moments, Moments) =
        ([4.0, 7.0].into_iter().collect(), [13.0, 16.0].into_iter().collect());
    left.merge(&right);
    let shifted: Moments = [4.0, 7.0, 13.0, 16.0].iter().map(|x| x + 1e9).collect();
    rows.push(
        check("{4, 7} merged with {13, 16}: mean", "", left.mean, 10.0, relative(1e-9)).formula(),
    );
    rows.push(
        check(
            "{4, 7} merged with {13, 16}: variance",
            "",
            left.variance().unwrap_or(f64::NAN),
            30.0,
            relative(1e-9),
        )
        .formula(),
    );
    rows.push(
        check(
            "the same numbers and 1e9: variance",
            "",
            shifted.variance().unwrap_or(f64::NAN),
            30.0,
            relative(1e-9),
        )
        .formula()
        .note("the naive sum of squares gives -170.67"),
    );
    rows
}
