//! The answer first: one sentence on all, one plain sentence for each architecture, and one table
//! of who is best on what.

use super::draw::hue;
use super::part::{Grid, tag};
use super::standing::{Place, Standing};
use super::words::{
    DUST, MISSED, SPOKEN, cell, difference, esc, listed, name, num, sentence_case, share,
    unit_words, value,
};
use crate::report::book::{Book, Estimate, Row};
use std::fmt::Write;

/// The section.
pub(super) fn answer(book: &Book, standings: &[Standing]) -> String {
    let mut out = format!(r#"<p class="headline">{}</p>"#, headline(book, standings));
    out.push_str(r#"<ul class="cards">"#);
    for (a, arm) in book.arms().iter().enumerate() {
        let titles = book.manifest.setting.as_ref().map(|s| s.titles.as_slice()).unwrap_or(&[]);
        let title = titles.get(a).filter(|t| !t.is_empty());
        let title = title.map_or(String::new(), |t| format!("<p class=\"sub\">{}</p>", esc(t)));
        let _ = write!(
            out,
            r#"<li class="card {}"><h3>{}</h3>{title}<p>{}</p></li>"#,
            hue(a),
            tag(a, arm),
            sentence(book, standings, a)
        );
    }
    out.push_str("</ul>");
    out.push_str(&matrix(book, standings).html());
    out.push_str(&limit_table(book));
    out.push_str(&rankings(book));
    let looked = standings.len() * book.arms().len().saturating_sub(1);
    let _ = write!(
        out,
        "<p class=\"note\">Mean over campaigns, 95 % interval in brackets. {looked} differences to the \
        best were looked at, each at 95 %, so that chance alone makes some {} of them clear. \
        Best, even and behind \
        are judged by the paired difference on the same luck, which is much sharper than the \
        intervals of single columns: \u{25cf} best; \u{25cb} even: not clearly different from the \
        best; other numbers: clearly behind. The intervals say how far simulation noise and \
        uncertain parameters go, not whether assumed numbers are right.</p>",
        num(0.05 * looked as f64)
    );
    out
}

/// Limits down, architectures across.
fn limit_table(book: &Book) -> String {
    let rows: Vec<Row> = book.rows("requirements.csv").collect();
    let mut names: Vec<&str> = Vec::new();
    for r in &rows {
        if !names.contains(&r.text("limit")) {
            names.push(r.text("limit"));
        }
    }
    if names.is_empty() {
        return String::new();
    }
    let mut grid = Grid::new("limits of the campaign file", &["limit"]);
    grid.header.extend(book.arms().iter().enumerate().map(|(a, arm)| tag(a, arm)));
    for limit in names {
        let of = |arm: &str| {
            rows.iter().find(|r| r.text("limit") == limit && r.text("architecture") == arm)
        };
        let any = rows.iter().find(|r| r.text("limit") == limit);
        let what = any.map_or(String::new(), |r| {
            let statistic = match r.text("statistic") {
                "mean" => String::new(),
                other => format!("{other} "),
            };
            let (measure, bound) = (r.text("measure"), r.text("bound"));
            format!("{}: <code>{measure}</code> {statistic}{}", esc(limit), cell(bound))
        });
        let mut line = vec![what];
        line.extend(book.arms().iter().map(|arm| of(arm).map_or("not asked".into(), verdict)));
        grid.rows.push(line);
    }
    grid.html()
}

/// A verdict with what it goes by.
fn verdict(r: &Row) -> String {
    let sign = match r.text("verdict") {
        "met" => "<span class=\"best\"><span aria-hidden=\"true\">\u{2713}</span> met</span>",
        "not met" => "<span aria-hidden=\"true\">\u{2717}</span> not met",
        _ => "<span aria-hidden=\"true\">?</span> undecided",
    };
    let value = r.number("estimate").map_or("not estimable".to_string(), num);
    let decide = r.number("campaigns_to_decide");
    let decide = decide.map_or(String::new(), |n| format!(", about {} campaigns decide", num(n)));
    format!("{sign} <span class=\"ci\">({value}{decide})</span>")
}

/// Who is not beaten on the measures of each ranking together, and how sure that is.
fn rankings(book: &Book) -> String {
    if book.arms().len() < 2 {
        return String::new();
    }
    let rows: Vec<_> = book.rows("ranking.csv").collect();
    let mut names: Vec<&str> = rows.iter().map(|r| r.text("ranking")).collect();
    names.dedup();
    let mut out = String::new();
    for ranking in names {
        let of = |basis: &'static str| {
            rows.iter().filter(move |r| r.text("ranking") == ranking && r.text("basis") == basis)
        };
        let told = |r: &&Row| {
            let sure = r.number("share").filter(|s| *s < 0.995);
            let sure = sure.map_or(String::new(), |s| format!(" (in {} of resamples)", share(s)));
            format!("{}{sure}", name(r.text("architecture")))
        };
        let unbeaten = of("means").filter(|r| r.text("not_beaten") == "1");
        let those: Vec<String> = unbeaten.map(|r| told(&r)).collect();
        let measures = of("means").next().map_or("", |r| r.text("measures"));
        let spoken = |m: &str| {
            SPOKEN
                .iter()
                .find(|s| s.name == m)
                .map_or(format!("<code>{}</code>", esc(m)), |s| s.words.to_string())
        };
        let measures: Vec<String> = measures.split(' ').map(spoken).collect();
        if those.is_empty() {
            continue;
        }
        let title = match ranking {
            "usual" => String::new(),
            own => format!(" (ranking <i>{}</i>)", esc(own)),
        };
        let _ = write!(
            out,
            "<p>Not beaten by another on {} taken together{title}: {}.",
            listed(&measures),
            listed(&those)
        );
        if let Some(r) = of("changed weights").find(|r| r.text("not_beaten") == "1") {
            let sure = |basis| {
                let same = |o: &&Row| o.text("architecture") == r.text("architecture");
                of(basis).find(same).and_then(|o| o.number("share")).map_or("?".into(), share)
            };
            let _ = write!(
                out,
                " With the weights of the file {} has the least total: in {} of resamples, and in \
                 {} of weights changed between half and twice.",
                name(r.text("architecture")),
                sure("weighted total"),
                sure("changed weights")
            );
        }
        out.push_str("</p>");
    }
    out
}

/// One sentence on all: is there one that nobody beats on anything?
pub(super) fn headline(book: &Book, standings: &[Standing]) -> String {
    let arms = book.arms();
    if arms.len() < 2 {
        return "One architecture was played, so that there is nothing to compare it with.".into();
    }
    let never = |a: &usize| standings.iter().all(|s| !matches!(s.places[*a], Place::Behind(_)));
    let unbeaten: Vec<String> = (0..arms.len()).filter(never).map(|a| name(&arms[a])).collect();
    let wins = |a: usize| {
        let of = standings.iter().filter(|s| s.best == Some(a));
        of.map(|s| s.spoken.words.to_string()).collect::<Vec<_>>()
    };
    let best: Vec<String> = (0..arms.len())
        .filter(|a| !wins(*a).is_empty())
        .map(|a| format!("{} on {}", name(&arms[a]), listed(&wins(a))))
        .collect();
    let first = match unbeaten.as_slice() {
        [] => "No architecture wins on everything.".to_string(),
        [one] => format!("{one} is nowhere clearly behind another."),
        more => format!("{} are nowhere clearly behind another.", listed(more)),
    };
    if best.is_empty() {
        return format!("{first} No difference on the measures below is clear.");
    }
    format!("{first} Best: {}.", best.join("; "))
}

/// The plain sentence of an architecture.
pub(super) fn sentence(book: &Book, standings: &[Standing], arm: usize) -> String {
    let mut parts = Vec::new();
    let of = |wanted: fn(&Place) -> bool| {
        standings.iter().filter(move |s| wanted(&s.places[arm])).collect::<Vec<_>>()
    };
    let told = |s: &Standing| match s.mean(arm) {
        // These two are told in any case, below.
        Some(x) if ![MISSED, DUST].contains(&s.spoken.name) => {
            format!("{} ({})", s.spoken.words, value(x, s.spoken, &s.unit))
        }
        _ => s.spoken.words.to_string(),
    };
    if book.arms().len() < 2 {
        let all: Vec<String> = of(|p| *p != Place::Unknown).into_iter().map(told).collect();
        parts.push(format!("{}.", sentence_case(&listed(&all))));
        parts.extend([risk(book, arm), dust(book, arm), limits(book, arm)].into_iter().flatten());
        return parts.join(" ");
    }
    let best: Vec<String> = of(|p| *p == Place::Best).into_iter().map(told).collect();
    if !best.is_empty() {
        parts.push(format!("Best on {}.", listed(&best)));
    }
    let even: Vec<String> =
        of(|p| *p == Place::Even).iter().map(|s| s.spoken.words.to_string()).collect();
    if !even.is_empty() {
        parts.push(format!("Not clearly different from the best on {}.", listed(&even)));
    }
    let behind: Vec<String> =
        of(|p| matches!(p, Place::Behind(_))).into_iter().map(|s| behind(s, arm)).collect();
    if !behind.is_empty() {
        parts.push(format!("Behind the best on {}.", listed(&behind)));
    }
    parts.extend(risk(book, arm));
    parts.extend(dust(book, arm));
    parts.extend(limits(book, arm));
    parts.join(" ")
}

/// How it stands to the limits of the campaign file.
fn limits(book: &Book, arm: usize) -> Option<String> {
    let arm = &book.arms()[arm];
    let rows: Vec<_> =
        book.rows("requirements.csv").filter(|r| r.text("architecture") == arm).collect();
    let of = |verdict: &str| -> Vec<String> {
        let those = rows.iter().filter(|r| r.text("verdict") == verdict);
        those.map(|r| format!("<i>{}</i>", esc(r.text("limit")))).collect()
    };
    let (met, not, open) = (of("met"), of("not met"), of("undecided"));
    if rows.is_empty() {
        return None;
    }
    let mut out = format!("It meets {} of {} limits", met.len(), rows.len());
    if !not.is_empty() {
        out.push_str(&format!("; not met: {}", listed(&not)));
    }
    if !open.is_empty() {
        out.push_str(&format!("; undecided with so many campaigns: {}", listed(&open)));
    }
    Some(out + ".")
}

fn behind(s: &Standing, arm: usize) -> String {
    match s.places[arm] {
        Place::Behind(gap) => {
            format!("{} ({})", s.spoken.words, difference(gap.difference, s.spoken, &s.unit))
        }
        _ => s.spoken.words.into(),
    }
}

/// What is always said: how often somebody was late or never safe.
fn risk(book: &Book, arm: usize) -> Option<String> {
    let e = book.estimate(&book.arms()[arm], MISSED)?;
    let (mean, high) = (e.mean?, e.high);
    let n = book.manifest.campaigns;
    Some(match (mean, e.low, high) {
        (0.0, _, Some(high)) => format!(
            "Nobody was late or never safe in {n} campaigns, so that the chance is below {} a \
             campaign.",
            share(high)
        ),
        (mean, Some(low), Some(high)) => format!(
            "Somebody was late or never safe in {} of campaigns ({} to {}).",
            share(mean),
            share(low),
            share(high)
        ),
        _ => format!("Somebody was late or never safe in {} of campaigns.", share(mean)),
    })
}

/// Where the dust average stands to the limit.
fn dust(book: &Book, arm: usize) -> Option<String> {
    let limit = book.manifest.setting.as_ref()?.dust_limit_mg_m3;
    let mean = book.estimate(&book.arms()[arm], DUST)?.mean?;
    let times = mean / limit;
    let unit = unit_words("mg/m3");
    Some(if times > 1.0 {
        format!(
            "Its worst 24-hour dust average, {} {unit}, is {} times the limit of {}.",
            num(mean),
            num(times),
            num(limit)
        )
    } else {
        format!(
            "Its worst 24-hour dust average, {} {unit}, is {} of the limit of {}.",
            num(mean),
            share(times),
            num(limit)
        )
    })
}

/// Measures down, architectures across.
fn matrix(book: &Book, standings: &[Standing]) -> Grid {
    let mut grid = Grid::new("who is best on what", &["measure"]);
    grid.header.extend(book.arms().iter().enumerate().map(|(a, arm)| tag(a, arm)));
    for s in standings {
        let mut row = vec![sentence_case(s.spoken.words)];
        for (place, estimate) in s.places.iter().zip(&s.estimates) {
            let alone = book.arms().len() < 2;
            let place = if alone { &Place::Unknown } else { place };
            row.push(matrix_cell(s, place, estimate.as_ref()));
        }
        grid.rows.push(row);
    }
    grid
}

fn matrix_cell(s: &Standing, place: &Place, estimate: Option<&Estimate>) -> String {
    let Some((e, mean)) = estimate.and_then(|e| Some((e, e.mean?))) else {
        return "not estimable".into();
    };
    let sign = match place {
        Place::Best => {
            "<span class=\"best\"><span aria-hidden=\"true\">\u{25cf}</span> best</span> "
        }
        Place::Even => {
            "<span class=\"even\"><span aria-hidden=\"true\">\u{25cb}</span> even</span> "
        }
        _ => "",
    };
    if mean == 0.0 {
        let below =
            e.high.map_or(String::new(), |h| format!(", below {}", value(h, s.spoken, &s.unit)));
        return format!("{sign}<span class=\"x\">none seen{below}</span>");
    }
    let limits = match (e.low, e.high) {
        (Some(l), Some(h)) => {
            format!(" <span class=\"ci\">[{}, {}]</span>", bare(l, s), bare(h, s))
        }
        _ => String::new(),
    };
    format!("{sign}<span class=\"x\">{}</span>{limits}", value(mean, s.spoken, &s.unit))
}

/// A limit of an interval, its unit left to the mean before it.
fn bare(x: f64, s: &Standing) -> String {
    if s.spoken.share { share(x).trim_end_matches(" %").to_string() } else { num(x) }
}
