//! Pages of lists: ordered by a column and the id, continued from where the page before ended.

use super::error::{StoreError, Stored};
use super::tx::Tx;
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use sea_orm::sea_query::{Condition, Order};
use sea_orm::{ColumnTrait, EntityTrait, FromQueryResult, QueryFilter, QueryOrder, QuerySelect, Select, Value};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// Where a page ends: the last row's sorting value as text, and its id.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Cursor(pub String, pub Uuid);

impl Cursor {
    #[must_use]
    pub fn encode(&self) -> String {
        // Two plain values always can be written.
        serde_json::to_vec(self).map(|bytes| URL_SAFE_NO_PAD.encode(bytes)).unwrap_or_default()
    }

    #[must_use]
    pub fn decode(text: &str) -> Option<Self> {
        serde_json::from_slice(&URL_SAFE_NO_PAD.decode(text).ok()?).ok()
    }
}

/// Which page.
#[derive(Clone, Debug)]
pub struct PageAsk {
    pub limit: u64,
    pub after: Option<Cursor>,
}

/// One page.
#[derive(Clone, Debug)]
pub struct Page<T> {
    pub items: Vec<T>,
    /// Where the next one starts; none on the last.
    pub next: Option<String>,
}

impl<T> Page<T> {
    /// A list that is always given whole.
    #[must_use]
    pub const fn whole(items: Vec<T>) -> Self {
        Self { items, next: None }
    }

    /// The same page of other things.
    ///
    /// # Errors
    /// The first that cannot be made.
    pub fn try_map<U, E>(self, make: impl FnMut(T) -> Result<U, E>) -> Result<Page<U>, E> {
        Ok(Page { items: self.items.into_iter().map(make).collect::<Result<_, _>>()?, next: self.next })
    }
}

/// How a list is ordered.
pub(super) struct By<E: EntityTrait> {
    pub(super) column: E::Column,
    pub(super) id: E::Column,
    pub(super) order: Order,
    /// The sorting value of a cursor's text.
    pub(super) value: fn(&str) -> Option<Value>,
    pub(super) cursor: fn(&E::Model) -> Cursor,
}

pub(super) async fn page<E>(tx: &Tx, select: Select<E>, by: &By<E>, ask: &PageAsk) -> Stored<Page<E::Model>>
where
    E: EntityTrait,
    E::Model: FromQueryResult + Send + Sync,
{
    let mut select = select.order_by(by.column, by.order.clone()).order_by(by.id, by.order.clone());
    if let Some(Cursor(text, id)) = &ask.after {
        let Some(value) = (by.value)(text) else {
            return Err(StoreError::Damaged("the cursor is of another list".to_owned()));
        };
        let beyond = |column: E::Column, value: Value| match by.order {
            Order::Desc => column.lt(value),
            _ => column.gt(value),
        };
        let same_but_later = Condition::all().add(by.column.eq(value.clone())).add(beyond(by.id, Value::from(*id)));
        select = select.filter(Condition::any().add(beyond(by.column, value)).add(same_but_later));
    }
    let mut rows = select.limit(ask.limit + 1).all(tx.conn()).await?;
    let more = u64::try_from(rows.len()).unwrap_or(u64::MAX) > ask.limit;
    if more {
        rows.pop();
    }
    let next = if more { rows.last().map(|row| (by.cursor)(row).encode()) } else { None };
    Ok(Page { items: rows, next })
}
