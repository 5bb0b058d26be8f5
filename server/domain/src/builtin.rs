//! The walk-round every operator starts from: written as JSON beside this crate, one file for each stop, and put
//! together here. It is compiled in; nothing is read at run time.

use crate::ids::TemplateId;
use crate::template::{BriefingTopic, Stop, Template};
use crate::text::Text;
use serde::de::DeserializeOwned;
use std::fmt;

/// A file under `builtin/`: its name there and what it says.
struct Source {
    file: &'static str,
    json: &'static str,
}

macro_rules! source {
    ($file:literal) => {
        Source { file: $file, json: include_str!(concat!("../builtin/", $file)) }
    };
}

const EQUIPMENT: Source = source!("equipment.json");
const PANELS: Source = source!("panels.json");

/// In walking order.
const STOPS: [Source; 11] = [
    source!("stops/01_nearside.json"),
    source!("stops/02_rear.json"),
    source!("stops/03_offside.json"),
    source!("stops/04_front.json"),
    source!("stops/05_roof_underside.json"),
    source!("stops/06_cab.json"),
    source!("stops/07_living_area.json"),
    source!("stops/08_heating_water.json"),
    source!("stops/09_kitchen.json"),
    source!("stops/10_washroom.json"),
    source!("stops/11_loose_kit.json"),
];

/// In the order they are explained.
const BRIEFINGS: [Source; 6] = [
    source!("briefings/01_gas.json"),
    source!("briefings/02_power.json"),
    source!("briefings/03_water.json"),
    source!("briefings/04_road.json"),
    source!("briefings/05_safety.json"),
    source!("briefings/06_return.json"),
];

/// A built-in file that does not read as what it should be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BuiltinError {
    /// Under `builtin/`.
    pub file: &'static str,
    /// Where in the file, such as `checkpoints[3].ask`.
    pub at: String,
    pub message: String,
}

impl fmt::Display for BuiltinError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "builtin/{} at {}: {}", self.file, self.at, self.message)
    }
}

impl std::error::Error for BuiltinError {}

/// The built-in walk-round under an id, layout, version and title of the caller's.
///
/// # Errors
/// When a compiled-in file does not parse; the tests keep that from reaching anyone.
pub fn template(id: TemplateId, layout: &str, version: u32, title: Text) -> Result<Template, BuiltinError> {
    let stops = STOPS.iter().map(read::<Stop>).collect::<Result<Vec<_>, _>>()?;
    let briefings = BRIEFINGS.iter().map(read::<Vec<BriefingTopic>>).collect::<Result<Vec<_>, _>>()?;
    Ok(Template {
        id,
        layout: layout.to_owned(),
        version,
        title,
        equipment: read(&EQUIPMENT)?,
        panels: read(&PANELS)?,
        stops,
        briefings: briefings.into_iter().flatten().collect(),
    })
}

/// The names under `builtin/` that the template is made of.
pub fn files() -> impl Iterator<Item = &'static str> {
    [&EQUIPMENT, &PANELS].into_iter().chain(&STOPS).chain(&BRIEFINGS).map(|source| source.file)
}

fn read<T: DeserializeOwned>(source: &Source) -> Result<T, BuiltinError> {
    let wrong = |at: String, message: String| BuiltinError { file: source.file, at, message };
    let mut json = serde_json::Deserializer::from_str(source.json);
    let value =
        serde_path_to_error::deserialize(&mut json).map_err(|e| wrong(e.path().to_string(), e.inner().to_string()))?;
    json.end().map_err(|e| wrong("the end".to_owned(), e.to_string()))?;
    Ok(value)
}
