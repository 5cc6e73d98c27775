//! What evidence says of a rate or a chance, and the laws of uncertain numbers.

use super::record::Standing::{CommonPractice, FromMemory, Read};
use super::record::{Check, Group, check, plain, q, relative};
use vestibule::base::law::{Law, normal_quantile};

const METHOD: &str =
    "method of NUREG/CR-6823 and NASA/SP-2009-569, from memory; numbers recomputed with scipy";

fn demands(failures: f64, demands: f64) -> Law {
    Law::Evidence { failures, demands }
}

fn exposure(events: f64, exposure: f64) -> Law {
    Law::RateEvidence { events, exposure }
}

/// Integral over u of some function of a law's value, by the midpoint rule in s with
/// u = 1/(1 + exp(-s)), which resolves both tails.
fn mean_of(law: Law, f: impl Fn(f64) -> f64) -> f64 {
    let (steps, reach) = (4_000, 36.0);
    let h = 2.0 * reach / f64::from(steps);
    (0..steps)
        .map(|i| {
            let s = -reach + (f64::from(i) + 0.5) * h;
            let u = 1.0 / (1.0 + (-s).exp());
            f(law.quantile(u)) * u * (1.0 - u) * h
        })
        .sum()
}

/// Jeffreys posteriors, and rates and chances of the field as evidence.
pub fn posteriors() -> Group {
    let mut checks = posterior_table();
    checks.extend(prior_updates());
    checks.extend(field_rates());
    Group {
        title: "Evidence on rates and chances".into(),
        about: "Failures in demands become Beta(x + 1/2, n - x + 1/2), events in exposure Gamma(x \
            + 1/2, T): \
                mean and 5, 50, 95 % points. A prior of one's own is written as evidence less \
                one half.",
        checks,
    }
}

fn posterior_table() -> Vec<Check> {
    let table = [
        (
            "0 in 100 demands",
            demands(0.0, 100.0),
            [4.950495050e-3, 1.961141746e-5, 2.266429229e-3, 1.897688770e-2],
        ),
        (
            "1 in 100 demands",
            demands(1.0, 100.0),
            [1.485148515e-2, 1.762096254e-3, 1.178956169e-2, 3.841478809e-2],
        ),
        (
            "2 in 75 demands",
            demands(2.0, 75.0),
            [3.289473684e-2, 7.684324252e-3, 2.887943042e-2, 7.184491523e-2],
        ),
        (
            "8 in 75 demands",
            demands(8.0, 75.0),
            [1.118421053e-1, 5.908866924e-2, 1.084367163e-1, 1.762366681e-1],
        ),
        (
            "3 in 1000 demands",
            demands(3.0, 1000.0),
            [3.496503497e-3, 1.084443442e-3, 3.171838298e-3, 7.017642212e-3],
        ),
        (
            "0 in 1000 demands",
            demands(0.0, 1000.0),
            [4.995004995e-4, 1.965576612e-6, 2.273854945e-4, 1.918406712e-3],
        ),
        (
            "0 in 1000 h",
            exposure(0.0, 1000.0),
            [5.0e-4, 1.966070000e-6, 2.274682116e-4, 1.920729410e-3],
        ),
        (
            "2 in 1e5 h",
            exposure(2.0, 1e5),
            [2.5e-5, 5.727381130e-6, 2.175730096e-5, 5.535248847e-5],
        ),
        (
            "10 in 1000 h",
            exposure(10.0, 1000.0),
            [1.05e-2, 5.795652604e-3, 1.016861378e-2, 1.633528667e-2],
        ),
    ];
    table
        .iter()
        .flat_map(|&(what, law, expected)| {
            let got = [law.mean(), law.quantile(0.05), law.quantile(0.5), law.quantile(0.95)];
            let names = ["mean", "5 % point", "median", "95 % point"];
            (0..4).map(move |i| {
                check(&format!("{what}: {}", names[i]), "", got[i], expected[i], relative(1e-6))
                    .from(FromMemory, METHOD)
            })
        })
        .collect()
}

fn prior_updates() -> Vec<Check> {
    let gamma = exposure(4.0, 3000.0);
    let beta = demands(2.5, 149.0);
    // Beta(5.2, 160.1), written as evidence.
    let help = demands(4.7, 164.3);
    let spread = mean_of(help, |x| (x - help.mean()).powi(2)).sqrt();
    let page = "INL online help page on distributions (rads.inl.gov): Beta(5.2, 160.1), mean \
        0.0315, sd 0.0135";
    let none = mean_of(demands(0.0, 100.0), |p| (1.0 - p).powi(40));
    vec![
        check("Gamma(1.5, 1000) and 3 in 2000: mean", "", gamma.mean(), 1.5e-3, relative(1e-6))
            .from(FromMemory, METHOD),
        check(
            "Gamma(1.5, 1000) and 3 in 2000: 5 % point",
            "",
            gamma.quantile(0.05),
            5.541854738e-4,
            relative(1e-6),
        )
        .from(FromMemory, METHOD),
        check(
            "Gamma(1.5, 1000) and 3 in 2000: 95 % point",
            "",
            gamma.quantile(0.95),
            2.819829601e-3,
            relative(1e-6),
        )
        .from(FromMemory, METHOD),
        check("Beta(1, 99) and 2 in 50: mean", "", beta.mean(), 2.0e-2, relative(1e-6))
            .from(FromMemory, METHOD),
        check(
            "Beta(1, 99) and 2 in 50: 5 % point",
            "",
            beta.quantile(0.05),
            5.509808498e-3,
            relative(1e-6),
        )
        .from(FromMemory, METHOD),
        check(
            "Beta(1, 99) and 2 in 50: 95 % point",
            "",
            beta.quantile(0.95),
            4.164864794e-2,
            relative(1e-6),
        )
        .from(FromMemory, METHOD),
        check("Beta(5.2, 160.1): mean", "", help.mean(), 0.0315, plain(0.00005)).from(Read, page),
        check("Beta(5.2, 160.1): standard deviation", "", spread, 0.0135, plain(0.00005))
            .from(Read, page)
            .note("integral over the program's quantiles"),
        check("Beta(5.2, 160.1): 5 % point", "", help.quantile(0.05), 0.012840, plain(5e-7))
            .formula(),
        check("Beta(5.2, 160.1): 95 % point", "", help.quantile(0.95), 0.056476, plain(5e-7))
            .formula(),
        check(
            "chance of no failure in 40 more demands after 0 in 100",
            "",
            none,
            0.845456146642,
            relative(1e-8),
        )
        .formula()
        .note("mean over the posterior; with the mean put in instead it would be 0.8200"),
    ]
}

fn field_rates() -> Vec<Check> {
    let year = q("1 a");
    let safe = "IOM Safe Passage 2001";
    let acute = exposure(157.0, 1e5 * q("1 d")).mean() * year;
    let fleet = exposure(2044.0, 1.3e6 * q("1 d")).mean() * 1e5 * q("1 d");
    let work = exposure(1685.0, 4.41e6 * q("1 d")).mean() * year;
    vec![
        check(
            "C14 acute encounters, 157 in 100,000 person-days",
            "/a",
            acute,
            0.573,
            relative(0.005),
        )
        .from(Read, &format!("{safe} p. 80")),
        check(
            "2044 acute encounters in 1.3 million person-days, per 100,000",
            "",
            fleet,
            157.0,
            relative(0.005),
        )
        .from(Read, &format!("{safe} p. 80")),
        check(
            "C14 work lost, 1685 in 4.41 million person-days",
            "/a",
            work,
            0.1396,
            relative(0.005),
        )
        .from(Read, &format!("{safe} p. 82 (Tansey 1979)")),
    ]
}

/// Error factors, Weibull lives, the normal quantile.
pub fn laws() -> Group {
    let mut checks = error_factors();
    checks.extend(lives());
    Group {
        title: "Laws of uncertain numbers".into(),
        about: "The error factor is the 95 % point over the median, with 1.644854 for the normal \
            quantile; \
                handbooks that round it to 1.645 differ in the fourth digit of sigma.",
        checks,
    }
}

fn error_factors() -> Vec<Check> {
    let book = "relation from memory (probabilistic risk assessment handbooks)";
    let table = [
        (3.0, 1.249884458),
        (5.0, 1.613975792),
        (10.0, 2.663980098),
        (15.0, 3.877845188),
        (30.0, 8.481264161),
    ];
    let mut rows: Vec<Check> = table
        .map(|(error_factor, ratio)| {
            let law = Law::Lognormal { median: 1.0, error_factor };
            check(
                &format!("mean over median at error factor {error_factor}"),
                "",
                law.mean(),
                ratio,
                relative(1e-8),
            )
            .from(FromMemory, book)
        })
        .to_vec();
    let law = Law::Lognormal { median: 3.753781798e-4, error_factor: 10.0 };
    let tight = relative(1e-8);
    rows.extend([
        check("mean of median 3.753781798e-4, error factor 10", "", law.mean(), 1e-3, tight)
            .from(FromMemory, book),
        check("its 5 % point", "", law.quantile(0.05), 3.753781798e-5, tight)
            .from(FromMemory, book),
        check("its 95 % point", "", law.quantile(0.95), 3.753781798e-3, tight)
            .from(FromMemory, book),
        check("z at 0.95", "", normal_quantile(0.95), 1.644853626951, relative(1e-11))
            .from(CommonPractice, "standard tables, recomputed"),
        check("z at 0.975", "", normal_quantile(0.975), 1.959963984540, relative(1e-11))
            .from(CommonPractice, "standard tables, recomputed"),
    ]);
    // A campaign of 40 sorties, each lost with a chance that is uncertain by a factor of 10;
    // exact, as the map from chance to risk grows.
    let risk = |p: f64| -(40.0 * (-p).ln_1p()).exp_m1();
    let sortie = Law::Lognormal { median: 1e-6, error_factor: 10.0 };
    for (u, expected) in [(0.05, 3.999992200e-6), (0.5, 3.999922001e-5), (0.95, 3.999220099e-4)] {
        let what =
            format!("{} % point of 1 - (1 - p)^40, p lognormal 1e-6, error factor 10", 100.0 * u);
        rows.push(check(&what, "", risk(sortie.quantile(u)), expected, tight).formula());
    }
    rows.push(
        check("mean of that risk", "", mean_of(sortie, risk), 1.065592039e-4, relative(1e-3))
            .formula()
            .note("bounded by 40 times the mean chance, 1.0656e-4"),
    );
    rows
}

fn lives() -> Vec<Check> {
    let book = "two-parameter Weibull law (common practice); numbers recomputed";
    // Life, shape, F(100), mean, median where given, age by which a tenth has failed.
    let table = [
        (400.0, 2.5, 3.076676552366e-2, 354.905527001, Some(345.453960241), 162.603970589),
        (8000.0, 1.5, 1.396566378208e-3, 7221.962343607, None, 1784.604205095),
        (1000.0, 2.0, 9.950166250832e-3, 886.226925453, None, 324.592845975),
    ];
    let tight = relative(1e-9);
    let mut rows = Vec::new();
    for (life, shape, failed, mean, median, tenth) in table {
        let law = Law::Weibull { life, shape };
        let name = format!("Weibull, life {life}, shape {shape}");
        let mut add = |what: &str, got: f64, expected: f64| {
            rows.push(
                check(&format!("{name}: {what}"), "", got, expected, tight)
                    .from(CommonPractice, book),
            );
        };
        add("age that a share F(100) does not reach", law.quantile(failed), 100.0);
        add("mean", law.mean(), mean);
        if let Some(median) = median {
            add("median", law.quantile(0.5), median);
        }
        add("age by which a tenth has failed", law.quantile(0.1), tenth);
    }
    let waiting = Law::Exponential { rate: 1e-3 };
    rows.push(
        check(
            "exponential, 1e-3 /h: age that a share 1 - exp(-0.1) does not reach",
            "h",
            waiting.quantile(-(-0.1_f64).exp_m1()),
            100.0,
            tight,
        )
        .from(CommonPractice, "constant failure rate"),
    );
    rows
}
