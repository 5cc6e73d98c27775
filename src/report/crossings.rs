//! `crossings.csv`: where two architectures change places along a factor of a sweep.

use super::columns;
use super::table::{Cell, Table};
use crate::study::sensitivity::crossing::{Crossing, Difference, Line, along};
use crate::study::sweep::{Answers, Design};

/// How the limits were had.
const METHOD: &str = "Fieller on the interpolated paired difference";

/// A line of the design: points that differ in one factor alone.
struct Points {
    factor: usize,
    /// Levels of the others, in words.
    held: String,
    /// Indices of points, by the factor.
    points: Vec<usize>,
}

/// `crossings.csv`; `None` where the design has no lines or the campaign one architecture.
pub fn crossings(answers: &Answers) -> Option<Table> {
    let lines = lines(answers);
    if lines.is_empty() || answers.architectures.len() < 2 {
        return None;
    }
    let mut t = Table::new(columns::CROSSINGS);
    for measure in 0..answers.measures.len() {
        for (pair, ends) in answers.pairs().enumerate() {
            for line in &lines {
                rows(answers, line, (pair, ends), measure, &mut t);
            }
        }
    }
    Some(t)
}

/// Lines along factors that are numbers: every line of a grid, each factor one at a time.
fn lines(answers: &Answers) -> Vec<Points> {
    let numbers = |line: &Points| {
        let value = |p: &usize| answers.points[*p].value[line.factor];
        line.points.len() > 1 && line.points.iter().all(|p| value(p).is_some())
    };
    let mut all = match &answers.design {
        Design::Grid { levels } => of_grid(answers, levels),
        Design::OneAtATime { levels } => {
            let mut from = 1;
            let mut line = |(factor, n): (usize, &usize)| {
                let points = (from..from + n).collect();
                from += n;
                Points { factor, held: "all others as in the base".into(), points }
            };
            levels.iter().enumerate().map(&mut line).collect()
        }
        _ => Vec::new(),
    };
    all.retain(numbers);
    all
}

fn of_grid(answers: &Answers, levels: &[usize]) -> Vec<Points> {
    let mut all = Vec::new();
    for (factor, n) in levels.iter().enumerate() {
        let stride: usize = levels[factor + 1..].iter().product();
        let first = |p: &usize| (p / stride).is_multiple_of(*n);
        for start in (0..answers.points.len()).filter(first) {
            let points = (0..*n).map(|i| start + i * stride).collect();
            all.push(Points { factor, held: held(answers, factor, start), points });
        }
    }
    all
}

/// Levels of all other factors at a point, in words.
fn held(answers: &Answers, factor: usize, point: usize) -> String {
    let word = |i: usize| {
        let (of, at) = (&answers.factors[i], &answers.points[point]);
        let value = match (at.value[i], at.unit[i]) {
            (Some(x), _) if of.unit.is_empty() => format!("{x}"),
            (Some(x), _) => format!("{x} {}", of.unit),
            (None, Some(u)) => {
                let last = of.levels.len().saturating_sub(1) as f64;
                let level = of.levels.get((u * last).round() as usize);
                level.cloned().unwrap_or_else(|| format!("at {u}"))
            }
            (None, None) => "as in the base".into(),
        };
        format!("{} = {value}", of.name)
    };
    let others = (0..answers.factors.len()).filter(|i| *i != factor);
    others.map(word).collect::<Vec<_>>().join(", ")
}

fn rows(
    answers: &Answers,
    line: &Points,
    (pair, (reference, other)): (usize, (usize, usize)),
    measure: usize,
    t: &mut Table,
) {
    let gaps = answers.gaps(pair, measure);
    let place = |p: &usize| {
        let x = answers.points[*p].value[line.factor].unwrap_or(f64::NAN);
        let d = gaps[*p].map_or(f64::NAN, |g| g.mean);
        let noise = gaps[*p].and_then(|g| g.var_of_mean).unwrap_or(f64::NAN);
        Difference { x, d, noise }
    };
    let places: Vec<Difference> = line.points.iter().map(place).collect();
    let known = places.iter().filter(|p| p.d.is_finite() && p.noise.is_finite()).count();
    let names = [&answers.architectures[reference], &answers.architectures[other]];
    let mut push = |crossing: Option<&Crossing>, sides: [&str; 2], method: &str, note: String| {
        t.push(vec![
            Cell::text(names[1]),
            Cell::text(names[0]),
            Cell::text(&answers.measures[measure].name),
            Cell::text(&answers.factors[line.factor].name),
            Cell::text(&line.held),
            Cell::text(&answers.factors[line.factor].unit),
            Cell::maybe(crossing.map(|c| c.x)),
            Cell::maybe(crossing.and_then(|c| c.low)),
            Cell::maybe(crossing.and_then(|c| c.high)),
            Cell::text(sides[0]),
            Cell::text(sides[1]),
            Cell::Whole(known as u64),
            Cell::text(method),
            Cell::text(note),
        ]);
    };
    // The difference is other less reference: below 0 the other is the lower.
    let lower = |negative: bool| names[usize::from(negative)].as_str();
    match along(&places, evenly_by_log(answers, line)) {
        Line::Crosses(found) => {
            for c in &found {
                let open = c.low.is_none() || c.high.is_none();
                let note =
                    if open { "open: beyond it no difference on the line excludes 0" } else { "" };
                push(Some(c), [lower(c.rises), lower(!c.rises)], METHOD, note.into());
            }
        }
        Line::Never(sign, clear) => {
            let note =
                format!("no crossing in the range; the difference excludes 0 at {clear} points");
            push(None, [lower(sign < 0.0); 2], "not estimable", note);
        }
        Line::Equal => push(None, [""; 2], "not estimable", "equal at every point".into()),
        Line::Unknown => {
            let note = format!("{known} points of the line have a difference: too few");
            push(None, [""; 2], "not estimable", note);
        }
    }
}

/// Do the values of the line step by a factor rather than by a sum? Then they are interpolated so.
fn evenly_by_log(answers: &Answers, line: &Points) -> bool {
    let at = |p: &usize| {
        let point = &answers.points[*p];
        point.value[line.factor].zip(point.unit[line.factor])
    };
    let Some(all) = line.points.iter().map(at).collect::<Option<Vec<_>>>() else { return false };
    let off = |of: fn(f64) -> f64| {
        let (first, last) = (all[0], all[all.len() - 1]);
        let part = |(x, u): &(f64, f64)| {
            let (dx, du) = (of(last.0) - of(first.0), last.1 - first.1);
            ((of(*x) - of(first.0)) / dx - (u - first.1) / du).abs()
        };
        all.iter().map(part).fold(0.0, f64::max)
    };
    all.iter().all(|(x, _)| *x > 0.0) && off(f64::ln) < 1e-9 && off(|x| x) > 1e-9
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::sweep::{Factor, Gap, Luck, Measured, Point};

    /// A grid of 3 values of one factor and 2 of another; the difference is x - 2 y.
    fn answers() -> Answers {
        let factor = |name: &str| Factor { name: name.into(), unit: "kg".into(), levels: vec![] };
        let point = |x: f64, y: f64| Point {
            unit: vec![Some((x - 1.0) / 3.0), Some(y - 1.0)],
            value: vec![Some(x), Some(y)],
        };
        let points: Vec<Point> =
            [1.0, 2.5, 4.0].iter().flat_map(|x| [point(*x, 1.0), point(*x, 2.0)]).collect();
        let gap = |p: &Point| Gap {
            mean: p.value[0].unwrap() - 2.0 * p.value[1].unwrap(),
            var_of_mean: Some(0.0),
            n: 9,
        };
        Answers {
            design: Design::Grid { levels: vec![3, 2] },
            luck: Luck::Common,
            factors: vec![factor("x"), factor("y")],
            architectures: vec!["a".into(), "b".into()],
            measures: vec![Measured { name: "m".into(), unit: "h".into(), probability: false }],
            said: vec![vec![None; 6]; 2],
            gaps: vec![points.iter().map(|p| Some(gap(p))).collect()],
            points,
        }
    }

    #[test]
    fn every_line_of_a_grid_has_its_rows() {
        let mut bytes = Vec::new();
        crossings(&answers()).expect("a grid").write(&mut bytes).expect("to memory");
        let csv = String::from_utf8(bytes).expect("text");
        let lines: Vec<&str> = csv.lines().skip(1).collect();
        let way = "Fieller on the interpolated paired difference";
        // Along x: b is the lower below x = 2 y.
        assert_eq!(lines[0], format!("b,a,m,x,y = 1 kg,kg,2,2,2,b,a,3,{way},"));
        assert!(lines[1].starts_with("b,a,m,x,y = 2 kg,kg,,,,b,b,3,not estimable,no crossing"));
        // Along y, at x = 1, 2.5, 4: a is the lower below y = x / 2.
        assert!(lines[2].starts_with("b,a,m,y,x = 1 kg,kg,,,,b,b,2,"), "{}", lines[2]);
        assert_eq!(lines[3], format!("b,a,m,y,x = 2.5 kg,kg,1.25,1.25,1.25,a,b,2,{way},"));
        assert_eq!(lines.len(), 5);
    }

    #[test]
    fn steps_by_a_factor_are_interpolated_so() {
        let mut a = answers();
        let line = |a: &Answers| evenly_by_log(a, &lines(a)[0]);
        assert!(!line(&a));
        a.points.iter_mut().for_each(|p| {
            let u = p.unit[0].unwrap();
            p.value[0] = Some(10f64.powf(u));
        });
        assert!(line(&a));
    }
}
