//! What is wrong with a template before anyone walks with it, the part of it one vehicle needs, and finding things
//! in it by key.

use crate::briefing::When;
use crate::template::{Ask, Bearing, BriefingTopic, Checkpoint, InventoryItem, Key, Panel, Template, Viewpoint};
use crate::text::{Lang, Text};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use utoipa::ToSchema;

/// Something to put right in a template.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TemplateProblem {
    pub kind: TemplateProblemKind,
    /// Where, such as `stops[2].checkpoints[4].needs[0]`.
    pub at: String,
    /// The key, month or language it is about; empty when there is none.
    pub what: String,
    /// What to do about it, in English.
    pub advice: String,
}

impl fmt::Display for TemplateProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.at, self.advice)
    }
}

/// The kinds of template problem.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum TemplateProblemKind {
    /// A key is used a second time where keys have to differ.
    DuplicateKey,
    /// A key is empty or has other characters than `a` to `z`, `0` to `9` and `_`.
    MalformedKey,
    UnknownEquipment,
    UnknownPanel,
    UnknownCheckpoint,
    UnknownItem,
    /// A month outside 1 to 12.
    MonthOutOfRange,
    /// A condition that lists nothing, and so never or always holds.
    EmptyCondition,
    /// Words without one of the languages.
    MissingLanguage,
}

impl TemplateProblemKind {
    pub const ALL: [Self; 9] = [
        Self::DuplicateKey,
        Self::MalformedKey,
        Self::UnknownEquipment,
        Self::UnknownPanel,
        Self::UnknownCheckpoint,
        Self::UnknownItem,
        Self::MonthOutOfRange,
        Self::EmptyCondition,
        Self::MissingLanguage,
    ];
}

impl Template {
    /// Everything to put right, in the order it stands in the template. Empty when the template can be used.
    #[must_use]
    pub fn problems(&self) -> Vec<TemplateProblem> {
        let mut check = Check::new(self);
        check.template(self);
        check.found
    }

    /// The template for a vehicle with this equipment: viewpoints, checkpoints and items that need something else
    /// are left out. Briefing topics all stay, since each says itself when it is due.
    #[must_use]
    pub fn for_equipment(&self, fitted: &BTreeSet<Key>) -> Template {
        let mut template = self.clone();
        let all_fitted = |needs: &[Key]| needs.iter().all(|key| fitted.contains(key));
        for stop in &mut template.stops {
            stop.viewpoints.retain(|v| all_fitted(&v.needs));
            stop.checkpoints.retain(|c| all_fitted(&c.needs));
            stop.inventory.retain(|i| all_fitted(&i.needs));
        }
        template
    }

    #[must_use]
    pub fn checkpoint(&self, key: &str) -> Option<&Checkpoint> {
        self.stops.iter().flat_map(|s| &s.checkpoints).find(|c| c.key == key)
    }

    #[must_use]
    pub fn item(&self, key: &str) -> Option<&InventoryItem> {
        self.stops.iter().flat_map(|s| &s.inventory).find(|i| i.key == key)
    }

    #[must_use]
    pub fn panel(&self, key: &str) -> Option<&Panel> {
        self.panels.iter().find(|p| p.key == key)
    }

    #[must_use]
    pub fn viewpoint(&self, key: &str) -> Option<&Viewpoint> {
        self.stops.iter().flat_map(|s| &s.viewpoints).find(|v| v.key == key)
    }

    #[must_use]
    pub fn topic(&self, key: &str) -> Option<&BriefingTopic> {
        self.briefings.iter().find(|b| b.key == key)
    }
}

/// Keys of one kind met so far, and where the first of each stands.
type Seen<'a> = BTreeMap<&'a str, String>;

/// The names a template defines, and the problems found so far.
struct Check<'a> {
    equipment: BTreeSet<&'a str>,
    panels: BTreeSet<&'a str>,
    checkpoints: BTreeSet<&'a str>,
    items: BTreeSet<&'a str>,
    found: Vec<TemplateProblem>,
}

impl<'a> Check<'a> {
    fn new(template: &'a Template) -> Self {
        Self {
            equipment: template.equipment.iter().map(|e| e.key.as_str()).collect(),
            panels: template.panels.iter().map(|p| p.key.as_str()).collect(),
            checkpoints: template.stops.iter().flat_map(|s| &s.checkpoints).map(|c| c.key.as_str()).collect(),
            items: template.stops.iter().flat_map(|s| &s.inventory).map(|i| i.key.as_str()).collect(),
            found: Vec::new(),
        }
    }

    fn template(&mut self, template: &'a Template) {
        self.key(&template.layout, format_args!("layout"));
        self.text(&template.title, format_args!("title"));

        let mut seen = Seen::new();
        for (n, equipment) in template.equipment.iter().enumerate() {
            let at = format_args!("equipment[{n}]");
            self.unique(&mut seen, &equipment.key, at);
            self.text(&equipment.title, format_args!("{at}.title"));
        }

        let mut seen = Seen::new();
        for (n, panel) in template.panels.iter().enumerate() {
            let at = format_args!("panels[{n}]");
            self.unique(&mut seen, &panel.key, at);
            self.text(&panel.title, format_args!("{at}.title"));
            self.key(&panel.group, format_args!("{at}.group"));
        }

        self.stops(template);

        let mut seen = Seen::new();
        for (n, topic) in template.briefings.iter().enumerate() {
            let at = format_args!("briefings[{n}]");
            self.unique(&mut seen, &topic.key, at);
            self.topic(topic, at);
        }
    }

    fn stops(&mut self, template: &'a Template) {
        let (mut stops, mut viewpoints) = (Seen::new(), Seen::new());
        // An answer names its checkpoint or item by key alone, so the two share their names.
        let mut answers = Seen::new();
        for (n, stop) in template.stops.iter().enumerate() {
            let at = format_args!("stops[{n}]");
            self.unique(&mut stops, &stop.key, at);
            self.text(&stop.title, format_args!("{at}.title"));
            self.text(&stop.guidance, format_args!("{at}.guidance"));
            for (m, viewpoint) in stop.viewpoints.iter().enumerate() {
                let at = format_args!("{at}.viewpoints[{m}]");
                self.unique(&mut viewpoints, &viewpoint.key, at);
                self.text(&viewpoint.title, format_args!("{at}.title"));
                self.text(&viewpoint.guidance, format_args!("{at}.guidance"));
                self.needs(&viewpoint.needs, at);
                for (p, panel) in viewpoint.panels.iter().enumerate() {
                    self.known_panel(panel, format_args!("{at}.panels[{p}]"));
                }
            }
            for (m, checkpoint) in stop.checkpoints.iter().enumerate() {
                let at = format_args!("{at}.checkpoints[{m}]");
                self.unique(&mut answers, &checkpoint.key, at);
                self.checkpoint(checkpoint, at);
            }
            for (m, item) in stop.inventory.iter().enumerate() {
                let at = format_args!("{at}.inventory[{m}]");
                self.unique(&mut answers, &item.key, at);
                self.text(&item.title, format_args!("{at}.title"));
                if let Some(guidance) = &item.guidance {
                    self.text(guidance, format_args!("{at}.guidance"));
                }
                self.needs(&item.needs, at);
            }
        }
    }

    fn checkpoint(&mut self, checkpoint: &Checkpoint, at: fmt::Arguments<'_>) {
        self.key(&checkpoint.system, format_args!("{at}.system"));
        self.text(&checkpoint.title, format_args!("{at}.title"));
        self.text(&checkpoint.guidance, format_args!("{at}.guidance"));
        if let Some(caution) = &checkpoint.caution {
            self.text(caution, format_args!("{at}.caution"));
        }
        self.needs(&checkpoint.needs, at);
        match &checkpoint.ask {
            Ask::Cylinder { slot } => self.key(slot, format_args!("{at}.ask.slot")),
            Ask::Tread { wheel } => self.key(wheel, format_args!("{at}.ask.wheel")),
            _ => {}
        }
    }

    fn topic(&mut self, topic: &BriefingTopic, at: fmt::Arguments<'_>) {
        self.text(&topic.title, format_args!("{at}.title"));
        for (n, paragraph) in topic.body.iter().enumerate() {
            self.text(paragraph, format_args!("{at}.body[{n}]"));
        }
        if let Some(caution) = &topic.caution {
            self.text(caution, format_args!("{at}.caution"));
        }
        self.when(&topic.due, format_args!("{at}.due"));
        for (n, bearing) in topic.bears_on.iter().enumerate() {
            self.bearing(bearing, format_args!("{at}.bears_on[{n}]"));
        }
    }

    fn when(&mut self, when: &When, at: fmt::Arguments<'_>) {
        match when {
            When::Always | When::NewToLayout | When::Pets | When::Trailer => {}
            When::Equipment { key } => self.known_equipment(key, format_args!("{at}.key")),
            When::Trip { key } => self.key(key, format_args!("{at}.key")),
            When::Months { months } => {
                self.not_empty(months.is_empty(), format_args!("{at}.months"));
                for (n, month) in months.iter().enumerate() {
                    if !(1..=12).contains(month) {
                        self.report(
                            TemplateProblemKind::MonthOutOfRange,
                            format_args!("{at}.months[{n}]"),
                            &month.to_string(),
                            "Months are numbered 1 (January) to 12 (December); change or remove this one.".to_owned(),
                        );
                    }
                }
            }
            When::All { of } | When::Any { of } => {
                self.not_empty(of.is_empty(), format_args!("{at}.of"));
                for (n, part) in of.iter().enumerate() {
                    self.when(part, format_args!("{at}.of[{n}]"));
                }
            }
        }
    }

    fn bearing(&mut self, bearing: &Bearing, at: fmt::Arguments<'_>) {
        match bearing {
            Bearing::Rule { .. } => {}
            Bearing::Checkpoint { checkpoint } => {
                if !self.checkpoints.contains(checkpoint.as_str()) {
                    let advice = format!("No stop has a checkpoint `{checkpoint}`; add it or name another.");
                    let at = format_args!("{at}.checkpoint");
                    self.report(TemplateProblemKind::UnknownCheckpoint, at, checkpoint, advice);
                }
            }
            Bearing::Panel { panel, kinds } => {
                self.known_panel(panel, format_args!("{at}.panel"));
                for (n, kind) in kinds.iter().enumerate() {
                    self.key(kind, format_args!("{at}.kinds[{n}]"));
                }
            }
            Bearing::Item { item } => {
                if !self.items.contains(item.as_str()) {
                    let advice = format!("No stop counts an item `{item}`; add it or name another.");
                    self.report(TemplateProblemKind::UnknownItem, format_args!("{at}.item"), item, advice);
                }
            }
        }
    }

    fn needs(&mut self, needs: &[Key], at: fmt::Arguments<'_>) {
        for (n, key) in needs.iter().enumerate() {
            self.known_equipment(key, format_args!("{at}.needs[{n}]"));
        }
    }

    fn known_equipment(&mut self, key: &str, at: fmt::Arguments<'_>) {
        if !self.equipment.contains(key) {
            let advice = format!("The template's equipment has no `{key}`; add it there or name another.");
            self.report(TemplateProblemKind::UnknownEquipment, at, key, advice);
        }
    }

    fn known_panel(&mut self, key: &str, at: fmt::Arguments<'_>) {
        if !self.panels.contains(key) {
            let advice = format!("The template's panels have no `{key}`; add it there or name another.");
            self.report(TemplateProblemKind::UnknownPanel, at, key, advice);
        }
    }

    fn not_empty(&mut self, empty: bool, at: fmt::Arguments<'_>) {
        if empty {
            let advice = "List at least one, or make the topic due `always`.".to_owned();
            self.report(TemplateProblemKind::EmptyCondition, at, "", advice);
        }
    }

    /// A well-formed key that nothing before it in `seen` has.
    fn unique(&mut self, seen: &mut Seen<'a>, key: &'a str, owner: fmt::Arguments<'_>) {
        let at = format_args!("{owner}.key");
        self.key(key, at);
        if let Some(first) = seen.get(key) {
            let advice = format!("`{key}` is already the key at {first}; give one of them another key.");
            self.report(TemplateProblemKind::DuplicateKey, at, key, advice);
        } else {
            seen.insert(key, at.to_string());
        }
    }

    fn key(&mut self, key: &str, at: fmt::Arguments<'_>) {
        if key.is_empty() || !key.bytes().all(|b| matches!(b, b'a'..=b'z' | b'0'..=b'9' | b'_')) {
            let advice = format!("`{key}` cannot be a key; use lower-case letters a to z, digits and underscores.");
            self.report(TemplateProblemKind::MalformedKey, at, key, advice);
        }
    }

    fn text(&mut self, text: &Text, at: fmt::Arguments<'_>) {
        for (lang, tag, name) in Lang::ALL.map(named) {
            if !text.has(lang) {
                let advice = format!("Add these words in {name}, under \"{tag}\".");
                self.report(TemplateProblemKind::MissingLanguage, at, tag, advice);
            }
        }
    }

    fn report(&mut self, kind: TemplateProblemKind, at: fmt::Arguments<'_>, what: &str, advice: String) {
        self.found.push(TemplateProblem { kind, at: at.to_string(), what: what.to_owned(), advice });
    }
}

/// A language with its tag and its English name.
fn named(lang: Lang) -> (Lang, &'static str, &'static str) {
    match lang {
        Lang::En => (lang, "en", "English"),
        Lang::De => (lang, "de", "German"),
    }
}
