use crate::app::{Code, Fault, Refusal};
use crate::http::problem::Refused;
use serde::de::DeserializeOwned;

/// Which column of a table is what, as JSON in the query.
///
/// # Errors
/// `query_invalid`.
pub(crate) fn columns<T: DeserializeOwned>(json: &str) -> Result<T, Refused> {
    serde_json::from_str(json).map_err(|e| {
        Refused::from(
            Refusal::new(Code::QueryInvalid, format!("columns is not a description of columns: {e}."))
                .with(vec![Fault::new("columns", "describe which column is what, as JSON")]),
        )
    })
}
