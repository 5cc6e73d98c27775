//! What changed, as a section of the page: HTML without heading, every text escaped.

use super::Changes;
use super::moved::{Moved, Sure};
use crate::measure::glossary::title;
use crate::report::page::escaped;
use std::fmt::Write;

/// What stands inside the section.
pub(in crate::report) fn section(c: &Changes) -> String {
    let mut out = format!(
        "<p>Compared with the results in <code>{}</code> ({} campaigns, seed {}, version {}).</p>",
        escaped(&c.old.folder),
        c.old.campaigns,
        escaped(&c.old.seed),
        escaped(&c.old.version)
    );
    out.push_str(&list("What differs between the two runs", differing(c)));
    out.push_str(&measures(c));
    let verdicts = c.verdicts.iter().map(|v| {
        let word = |text: &str| if text.is_empty() { "not asked".into() } else { escaped(text) };
        let sure = if v.beyond_chance { "more than chance" } else { "no more than chance" };
        format!(
            "<b>{}</b>, {}: {} \u{2192} {} ({sure}: {})",
            escaped(&v.architecture),
            escaped(&v.of),
            word(&v.old),
            word(&v.new),
            escaped(&v.told_by)
        )
    });
    out.push_str(&list("Verdicts that changed", verdicts.collect()));
    let sentences = c.sentences.iter().map(|s| {
        let about = if s.about.is_empty() { "all" } else { &s.about };
        format!(
            "<b>{}</b><br>before: {}<br>after: {}",
            escaped(about),
            escaped(&s.old),
            escaped(&s.new)
        )
    });
    out.push_str(&list("Sentences that read differently", sentences.collect()));
    let _ = write!(out, "<p class=\"note\">{}</p>", escaped(&c.test));
    out
}

fn differing(c: &Changes) -> Vec<String> {
    let inputs = c.inputs.iter().map(|i| {
        let value = |text: &str| if text.is_empty() { "not there".into() } else { escaped(text) };
        let path = escaped(&i.key_path).replace('.', ".<wbr>");
        let file = escaped(&i.file);
        let (old, new) = super::keys::apart(&i.old, &i.new);
        format!("<code>{file}</code> <code>{path}</code>: {} \u{2192} {}", value(&old), value(&new))
    });
    c.differs.iter().map(|d| escaped(d).replace("-&gt;", "\u{2192}")).chain(inputs).collect()
}

/// A heading and a list; where nothing is to be listed, a sentence.
fn list(heading: &str, items: Vec<String>) -> String {
    if items.is_empty() {
        return format!("<p>{heading}: none.</p>");
    }
    let items: String = items.into_iter().map(|i| format!("<li>{i}</li>")).collect();
    format!("<h3>{heading}</h3><ul>{items}</ul>")
}

/// Means that moved by more than chance as a table, the others counted.
fn measures(c: &Changes) -> String {
    let of = |sure: Sure| c.measures.iter().filter(move |m| m.sure == sure);
    let beyond: Vec<&Moved> = of(Sure::BeyondChance).collect();
    let mut out = format!(
        "<p>Of {} means {} moved by more than chance; {} moved by no more than chance, {} are the \
         same numbers, {} cannot be compared.</p>",
        c.measures.len(),
        beyond.len(),
        of(Sure::WithinChance).count(),
        of(Sure::Same).count(),
        of(Sure::Unknown).count()
    );
    if beyond.is_empty() {
        return out;
    }
    let caption = "Means that moved by more than chance";
    let _ = write!(
        out,
        "<div class=\"scroll\" role=\"region\" tabindex=\"0\" aria-label=\"Table: \
         {caption}\"><table><caption>{caption}</caption><thead><tr>"
    );
    for h in ["architecture", "measure", "unit", "before", "after", "difference", "95 % interval"] {
        let _ = write!(out, "<th scope=\"col\">{h}</th>");
    }
    out.push_str("</tr></thead><tbody>");
    for m in beyond {
        let ([old, new, difference], limits) = m.shown();
        let limits = limits.map_or(String::new(), |[l, h]| format!("{l} to {h}"));
        let _ = write!(
            out,
            "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td class=\"n\">{old}</td><td \
             class=\"n\">{new}</td><td class=\"n\">{difference}</td><td \
             class=\"n\">{limits}</td></tr>",
            escaped(&m.architecture),
            escaped(title(m.measure)),
            m.unit
        );
    }
    out + "</tbody></table></div>"
}
