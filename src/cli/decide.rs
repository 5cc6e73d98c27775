//! Parameter sets from the command line, and what is worth knowing before a decision.

use super::RunArgs;
use super::exit::Exit;
use crate::model::Model;
use crate::report::{self, Draft, WriteError};
use crate::study::value::{self, Books};

/// Campaigns to play; with `--outer` and `--inner` the model then has parameter sets.
pub fn campaigns(args: &RunArgs, model: &mut Model) -> Result<u64, Exit> {
    let mut campaigns = args.campaigns.unwrap_or(model.campaigns);
    if let Some((outer, inner)) = args.outer.zip(args.inner) {
        model.inner = Some(inner);
        campaigns = outer.checked_mul(inner).ok_or_else(|| {
            eprintln!("error: --outer {outer} times --inner {inner} is too many campaigns");
            Exit::Usage
        })?;
    }
    match model.inner.filter(|i| !campaigns.is_multiple_of(*i)) {
        None => Ok(campaigns),
        Some(inner) => {
            let near = (campaigns / inner).max(1) * inner;
            eprintln!(
                "error: --campaigns {campaigns} cuts a parameter set of {inner} campaigns short; \
                 write a multiple of `inner`, for example --campaigns {near}"
            );
            Err(Exit::Usage)
        }
    }
}

/// Writes `value.csv` and gives the lines of the summary; nothing without a decision.
pub fn worth(
    model: &Model,
    books: Option<&Books>,
    draft: &mut Draft,
) -> Result<String, WriteError> {
    let Some(found) = books.and_then(|b| value::value(model, b)) else {
        return Ok(String::new());
    };
    if let Some(table) = report::value(model, &found) {
        draft.table("value.csv", &table)?;
    }
    Ok(report::value_lines(model, &found))
}
