use super::Tx;
use super::convert::{from_json, json, small};
use super::entity::inspection;
use super::entity::template::{Column, Entity, Model};
use super::error::Stored;
use super::page::{By, Cursor, Page, PageAsk, page};
use super::rows::{insert as insert_row, whole};
use handsel_domain::ids::TemplateId;
use handsel_domain::template::Template;
use handsel_domain::text::Text;
use sea_orm::sea_query::Order;
use sea_orm::{ColumnTrait, EntityTrait, PaginatorTrait, QueryFilter, QueryOrder, QuerySelect, Value};
use std::collections::BTreeSet;
use std::sync::Arc;

/// A template without its content.
#[derive(Clone, Debug)]
pub struct Summary {
    pub id: TemplateId,
    pub layout: String,
    pub version: u32,
    pub title: Text,
}

fn row(template: &Template) -> Stored<Model> {
    Ok(Model {
        id: template.id.0,
        layout: template.layout.clone(),
        version: i64::from(template.version),
        title: json("template title", &template.title)?,
        body: json("template", template)?,
    })
}

pub async fn list(tx: &Tx, ask: &PageAsk) -> Stored<Page<Summary>> {
    let by = By::<Entity> {
        column: Column::Layout,
        id: Column::Id,
        order: Order::Asc,
        value: |text| Some(Value::from(text)),
        cursor: |row| Cursor(row.layout.clone(), row.id),
    };
    page(tx, Entity::find(), &by, ask).await?.try_map(|row| {
        Ok(Summary {
            id: TemplateId(row.id),
            layout: row.layout,
            version: small("template version", row.version)?,
            title: from_json("template title", row.title)?,
        })
    })
}

pub async fn find(tx: &Tx, id: TemplateId) -> Stored<Option<Template>> {
    let row = Entity::find_by_id(id.0).one(tx.conn()).await?;
    row.map(|row| from_json("template", row.body)).transpose()
}

/// The template of an inspection. `stored` says that the inspection was there before this transaction, so that its
/// template is frozen for good and may be kept for the next look.
pub async fn of_inspection(tx: &Tx, id: TemplateId, stored: bool) -> Stored<Option<Arc<Template>>> {
    if let Some(kept) = tx.frozen().get(id) {
        return Ok(Some(kept));
    }
    let found = find(tx, id).await?.map(Arc::new);
    if let (Some(template), true) = (&found, stored) {
        tx.frozen().keep(template);
    }
    Ok(found)
}

/// The latest version of a layout; 0 before the first.
pub async fn latest(tx: &Tx, layout: &str) -> Stored<u32> {
    let newest = Entity::find().filter(Column::Layout.eq(layout)).order_by_desc(Column::Version).one(tx.conn()).await?;
    newest.map_or(Ok(0), |row| small("template version", row.version))
}

/// Whether an inspection uses it.
pub async fn in_use(tx: &Tx, id: TemplateId) -> Stored<bool> {
    let uses = inspection::Entity::find().filter(inspection::Column::TemplateId.eq(id.0));
    Ok(uses.count(tx.conn()).await? > 0)
}

/// Those that an inspection uses.
pub async fn used(tx: &Tx) -> Stored<BTreeSet<TemplateId>> {
    let ids: Vec<uuid::Uuid> = inspection::Entity::find()
        .select_only()
        .column(inspection::Column::TemplateId)
        .distinct()
        .into_tuple()
        .all(tx.conn())
        .await?;
    Ok(ids.into_iter().map(TemplateId).collect())
}

pub async fn insert(tx: &Tx, template: &Template) -> Stored<()> {
    insert_row(tx, row(template)?).await
}

pub async fn replace(tx: &Tx, template: &Template) -> Stored<()> {
    Entity::update(whole(row(template)?)).exec(tx.conn()).await?;
    Ok(())
}
