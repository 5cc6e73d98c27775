//! The answer of a run for programs: the tables that decide, as JSON, with the columns of the files.

use super::requirements::Judged;
use super::{CAUTION, ranking, requirements, tables};
use crate::model::Model;
use crate::stats::Results;
use crate::study::standing::Standing;
use serde_json::json;

/// The answer, ending in a line feed.
pub fn answer_json(
    model: &Model,
    results: &Results,
    (judged, standing): (&[Judged], &Standing),
    folder: &str,
) -> String {
    let answer = json!({
        "campaigns": results.campaigns(),
        "seed": model.seed.to_string(),
        "length_d": model.horizon / 86_400.0,
        "architectures": model.arms.iter().map(|a| a.name.as_str()).collect::<Vec<_>>(),
        "summary": tables::summary(model, results).json(),
        "compare": tables::compare(model, results).json(),
        "havens": tables::havens(model, results).json(),
        "requirements": requirements::requirements(model, judged).json(),
        "ranking": ranking::ranking(model, results, standing).json(),
        "results": folder,
        "caution": CAUTION,
    });
    format!("{answer:#}\n")
}
