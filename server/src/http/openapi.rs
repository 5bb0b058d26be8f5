//! The API's own description, made from the route tables and the types that go over the wire.

use super::problem::Problem;
use super::routes::{BASE, Entry, SYSTEM, SystemPaths, V1, V1Paths};
use super::v1::inspections::put_photo::PhotoOf;
use crate::app::input::HireDue;
use crate::app::{Blocked, Columns, Encoding, PaymentColumns, Size};
use handsel_domain::ids::UploadId;
use handsel_domain::policy::Action;
use handsel_domain::text::Lang;
use std::collections::BTreeMap;
use utoipa::openapi::path::{Operation, PathItem};
use utoipa::openapi::schema::{Array, Object, Schema};
use utoipa::openapi::security::{HttpAuthScheme, HttpBuilder, SecurityRequirement, SecurityScheme};
use utoipa::openapi::{Components, ContentBuilder, InfoBuilder, OpenApi, Ref, RefOr, ResponseBuilder, ServerBuilder};
use utoipa::{OpenApi as _, PartialSchema, ToSchema};

/// The whole description.
#[must_use]
pub fn describe() -> OpenApi {
    let mut api = V1Paths::openapi();
    api.info = InfoBuilder::new()
        .title("Handsel")
        .version("1")
        .description(Some(
            "Handover and return of a motorhome hire fleet: walk-rounds, comparison, decisions and the deposit.\n\n\
             Refusals are problem details (RFC 9457) whose `code` never changes its meaning. Ids are UUIDv7 made by \
             the client. Edits name the version they were made from in `If-Match`.",
        ))
        .build();
    api.servers = Some(vec![ServerBuilder::new().url(BASE).build()]);
    let mut schemas = Vec::new();
    Problem::schemas(&mut schemas);
    let components = api.components.get_or_insert_with(Components::new);
    components.schemas.insert("Problem".to_owned(), Problem::schema());
    components.schemas.extend(schemas);
    // Types that only parameters name are not gathered by themselves.
    for (name, schema) in [
        named::<Blocked>(),
        named::<Columns>(),
        named::<Encoding>(),
        named::<HireDue>(),
        named::<Lang>(),
        named::<PaymentColumns>(),
        named::<PhotoOf>(),
        named::<Size>(),
        named::<UploadId>(),
    ] {
        components.schemas.insert(name, schema);
    }
    let bearer = HttpBuilder::new().scheme(HttpAuthScheme::Bearer).bearer_format("JWT").build();
    components.add_security_scheme("bearer", SecurityScheme::Http(bearer));

    let mut system = SystemPaths::openapi();
    for item in system.paths.paths.values_mut() {
        item.servers = Some(vec![ServerBuilder::new().url("/").build()]);
    }
    api.paths.paths.extend(system.paths.paths);
    if let Some(more) = system.components {
        api.components.get_or_insert_with(Components::new).schemas.extend(more.schemas);
    }
    for entry in V1.iter().chain(SYSTEM) {
        if let Some(item) = api.paths.paths.get_mut(entry.path)
            && let Some(operation) = operation(item, entry.method)
        {
            complete(operation, entry);
        }
    }
    if let Some(components) = api.components.as_mut() {
        join_flattened(components);
        name_items(components);
    }
    api
}

fn named<T: ToSchema>() -> (String, RefOr<Schema>) {
    (T::name().into_owned(), T::schema())
}

/// A type that carries another's fields beside its own is described as one object: as "all of" two closed objects,
/// nothing would satisfy it.
fn join_flattened(components: &mut Components) {
    let known = components.schemas.clone();
    for schema in components.schemas.values_mut() {
        if let RefOr::T(Schema::OneOf(one)) = schema {
            one.items.iter_mut().for_each(|item| join(item, &known));
        }
        join(schema, &known);
    }
}

fn join(schema: &mut RefOr<Schema>, known: &BTreeMap<String, RefOr<Schema>>) {
    let RefOr::T(Schema::AllOf(all)) = &*schema else { return };
    let mut joined = Object::new();
    joined.description.clone_from(&all.description);
    for item in &all.items {
        let part = match item {
            RefOr::Ref(reference) => known.get(reference.ref_location.rsplit('/').next().unwrap_or_default()),
            RefOr::T(_) => Some(item),
        };
        let Some(RefOr::T(Schema::Object(part))) = part else { return };
        joined.properties.extend(part.properties.clone());
        joined.required.extend(part.required.clone());
    }
    *schema = RefOr::T(Schema::Object(joined));
}

/// A page of a list names what is on it instead of spelling it out again.
fn name_items(components: &mut Components) {
    for (name, schema) in &mut components.schemas {
        if let (Some(item), RefOr::T(Schema::Object(page))) = (name.strip_prefix("Items_"), schema) {
            let items = Array::new(Ref::from_schema_name(item));
            page.properties.insert("items".to_owned(), RefOr::T(Schema::Array(items)));
        }
    }
}

/// Adds what every operation has: who may, and the shape of a refusal.
fn complete(operation: &mut Operation, entry: &Entry) {
    let problem = ContentBuilder::new().schema(Some(Ref::from_schema_name("Problem"))).build();
    let refusal = ResponseBuilder::new()
        .description("Refused: a problem whose code says why.")
        .content("application/problem+json", problem)
        .build();
    operation.responses.responses.insert("default".to_owned(), RefOr::T(refusal));
    operation.security = Some(match entry.action {
        Action::Open => Vec::new(),
        _ => vec![SecurityRequirement::new("bearer", Vec::<String>::new())],
    });
    for response in operation.responses.responses.values_mut() {
        if let RefOr::T(response) = response
            && response.description.is_empty()
        {
            response.description = "Done.".to_owned();
        }
    }
}

fn operation<'a>(item: &'a mut PathItem, method: &str) -> Option<&'a mut Operation> {
    match method {
        "GET" => item.get.as_mut(),
        "POST" => item.post.as_mut(),
        "PUT" => item.put.as_mut(),
        "PATCH" => item.patch.as_mut(),
        "DELETE" => item.delete.as_mut(),
        "HEAD" => item.head.as_mut(),
        "OPTIONS" => item.options.as_mut(),
        _ => None,
    }
}
