//! Every route of the API, on one screen. Registration, the OpenAPI document and the tests of who may do what all
//! come from these tables.

use super::{system, v1};
use actix_web::http::Method;
use actix_web::{Route, web};
use handsel_domain::policy::Action;

/// Where version 1 is served.
pub const BASE: &str = "/api/v1";

/// One route.
#[derive(Clone, Copy, Debug)]
pub struct Entry {
    /// `GET`, `HEAD`, `OPTIONS`, `POST`, `PUT`, `PATCH` or `DELETE`.
    pub method: &'static str,
    pub path: &'static str,
    pub action: Action,
    pub(super) mount: fn() -> Route,
}

macro_rules! routes {
    ($(#[$doc:meta])* $table:ident, $paths:ident; $($method:ident $path:literal $action:ident $($part:ident)::+;)+) => {
        $(#[$doc])*
        pub const $table: &[Entry] = &[$(Entry {
            method: stringify!($method),
            path: $path,
            action: Action::$action,
            mount: || routes!(@$method).to($($part)::+),
        }),+];

        #[derive(utoipa::OpenApi)]
        #[openapi(paths($($($part)::+),+))]
        pub(super) struct $paths;
    };
    (@GET) => { web::get() };
    (@POST) => { web::post() };
    (@PUT) => { web::put() };
    (@PATCH) => { web::patch() };
    (@DELETE) => { web::delete() };
    (@HEAD) => { web::head() };
    (@OPTIONS) => { web::method(Method::OPTIONS) };
}

routes! {
    /// Version 1, under [`BASE`].
    V1, V1Paths;
    POST   "/auth/login"                                    Open               v1::auth::login::login;
    POST   "/auth/refresh"                                  Open               v1::auth::refresh::refresh;
    POST   "/auth/logout"                                   Open               v1::auth::logout::logout;
    GET    "/me"                                            SelfService        v1::auth::me::me;
    GET    "/staff"                                         ReadStaff          v1::staff::list::list;
    POST   "/staff"                                         WriteStaff         v1::staff::create::create;
    GET    "/staff/{id}"                                    ReadStaff          v1::staff::read::read;
    PATCH  "/staff/{id}"                                    WriteStaff         v1::staff::edit::edit;
    GET    "/depots"                                        ReadFleet          v1::depots::list::list;
    POST   "/depots"                                        WriteFleet         v1::depots::create::create;
    GET    "/depots/{id}"                                   ReadFleet          v1::depots::read::read;
    PATCH  "/depots/{id}"                                   WriteFleet         v1::depots::edit::edit;
    GET    "/vehicles"                                      ReadFleet          v1::vehicles::list::list;
    POST   "/vehicles"                                      WriteFleet         v1::vehicles::create::create;
    GET    "/vehicles/{id}"                                 ReadFleet          v1::vehicles::read::read;
    PATCH  "/vehicles/{id}"                                 WriteFleet         v1::vehicles::edit::edit;
    GET    "/vehicles/{id}/template"                        ReadFleet          v1::vehicles::template::template;
    GET    "/vehicles/{id}/register"                        ReadFleet          v1::vehicles::register::register;
    POST   "/vehicles/{id}/register/{mark}/repair"          WriteFleet         v1::vehicles::repair::repair;
    GET    "/vehicles/{id}/hookup"                          ReadFleet          v1::vehicles::hookup::hookup;
    GET    "/templates"                                     ReadTemplates      v1::templates::list::list;
    POST   "/templates"                                     WriteTemplates     v1::templates::create::create;
    GET    "/templates/{id}"                                ReadTemplates      v1::templates::read::read;
    PUT    "/templates/{id}"                                WriteTemplates     v1::templates::replace::replace;
    GET    "/tariffs"                                       ReadTariffs        v1::tariffs::list::list;
    POST   "/tariffs"                                       WriteTariffs       v1::tariffs::create::create;
    GET    "/tariffs/{id}"                                  ReadTariffs        v1::tariffs::read::read;
    GET    "/hires"                                         ReadHires          v1::hires::list::list;
    POST   "/hires"                                         WriteHires         v1::hires::create::create;
    GET    "/hires/{id}"                                    ReadHires          v1::hires::read::read;
    PATCH  "/hires/{id}"                                    WriteHires         v1::hires::edit::edit;
    POST   "/hires/{id}/cancel"                             WriteHires         v1::hires::cancel::cancel;
    PUT    "/hires/{id}/drivers/{driver_id}"                WriteHires         v1::hires::put_driver::put_driver;
    DELETE "/hires/{id}/drivers/{driver_id}"                WriteHires         v1::hires::remove_driver::remove_driver;
    POST   "/hires/{id}/extensions"                         WriteHires         v1::hires::extend::extend;
    PUT    "/hires/{id}/odometer-replacement"               CorrectOdometer    v1::hires::replace_odometer::replace_odometer;
    POST   "/hires/{id}/inspections"                        RecordInspection   v1::inspections::start::start;
    GET    "/inspections/{id}"                              ReadInspections    v1::inspections::read::read;
    GET    "/inspections/{id}/template"                     ReadInspections    v1::inspections::template::template;
    PUT    "/inspections/{id}/entries/{entry_id}"           RecordInspection   v1::inspections::put_entry::put_entry;
    DELETE "/inspections/{id}/entries/{entry_id}"           RecordInspection   v1::inspections::remove_entry::remove_entry;
    PUT    "/inspections/{id}/photos/{photo_id}"            RecordInspection   v1::inspections::put_photo::put_photo;
    DELETE "/inspections/{id}/photos/{photo_id}"            RecordInspection   v1::inspections::remove_photo::remove_photo;
    PUT    "/inspections/{id}/marks/{mark_id}"              RecordInspection   v1::inspections::put_mark::put_mark;
    DELETE "/inspections/{id}/marks/{mark_id}"              RecordInspection   v1::inspections::remove_mark::remove_mark;
    PUT    "/inspections/{id}/sightings/{mark_id}"          RecordInspection   v1::inspections::put_sighting::put_sighting;
    DELETE "/inspections/{id}/sightings/{mark_id}"          RecordInspection   v1::inspections::remove_sighting::remove_sighting;
    PUT    "/inspections/{id}/briefings/{topic}"            RecordInspection   v1::inspections::put_briefing::put_briefing;
    PUT    "/inspections/{id}/handover"                     RecordInspection   v1::inspections::hand_over::hand_over;
    PUT    "/inspections/{id}/signatures/{role}"            SignInspection     v1::inspections::put_signature::put_signature;
    PUT    "/inspections/{id}/absence"                      SignInspection     v1::inspections::note_absence::note_absence;
    POST   "/inspections/{id}/sign"                         SignInspection     v1::inspections::sign::sign;
    PUT    "/inspections/{id}/addenda/{addendum_id}"        RecordInspection   v1::inspections::put_addendum::put_addendum;
    GET    "/inspections/{id}/seal"                         ReadInspections    v1::inspections::seal::seal;
    GET    "/inspections/{id}/record.pdf"                   ReadInspections    v1::papers::record::record;
    POST   "/operations"                                    RecordInspection   v1::operations::take::take;
    OPTIONS "/uploads"                                      Open               v1::uploads::abilities::abilities;
    POST   "/uploads"                                       RecordInspection   v1::uploads::begin::begin;
    HEAD   "/uploads/{id}"                                  RecordInspection   v1::uploads::progress::progress;
    PATCH  "/uploads/{id}"                                  RecordInspection   v1::uploads::add::add;
    DELETE "/uploads/{id}"                                  RecordInspection   v1::uploads::end::end;
    GET    "/today"                                         ReadHires          v1::today::read::read;
    GET    "/photos/{id}"                                   ReadPhotos         v1::photos::read::read;
    GET    "/photos/{id}/before"                            ReadPhotos         v1::photos::before::before;
    GET    "/photos/{id}/pointers"                          ReadPhotos         v1::photos::pointers::pointers;
    PUT    "/photos/{id}/pointers/{pointer_id}"             RecordInspection   v1::photos::dispose::dispose;
    GET    "/photos/{id}/original"                          ReadOriginalPhotos v1::photos::original::original;
    GET    "/hires/{id}/case"                               ReadComparison     v1::comparison::case::case;
    GET    "/hires/{id}/comparison"                         ReadComparison     v1::comparison::read::read;
    POST   "/hires/{id}/decisions"                          DecideLines        v1::comparison::decide::decide;
    GET    "/hires/{id}/decisions"                          ReadComparison     v1::comparison::decisions::list;
    POST   "/hires/{id}/decisions/several"                  DecideLines        v1::comparison::decide_several::several;
    GET    "/hires/{id}/disputes"                           ReadComparison     v1::disputes::list::list;
    POST   "/hires/{id}/disputes/{dispute_id}/answer"       AnswerDisputes     v1::disputes::answer::answer;
    GET    "/hires/{id}/dispute-photos/{photo_id}"          ReadComparison     v1::disputes::photo::photo;
    GET    "/hires/{id}/ledger"                             ReadLedger         v1::deposit::ledger::ledger;
    POST   "/hires/{id}/movements"                          PostMovements      v1::deposit::post_movement::post_movement;
    POST   "/hires/{id}/settlement"                         CloseSettlement    v1::deposit::settle::settle;
    GET    "/hires/{id}/statement"                          ReadStatement      v1::deposit::statement::statement;
    GET    "/hires/{id}/statement.html"                     ReadStatement      v1::deposit::statement_page::statement_page;
    GET    "/hires/{id}/bundle.zip"                         ReadBundle         v1::bundle::read::read;
    GET    "/hires/{id}/erasure"                            ReadBundle         v1::erasure::read::read;
    GET    "/workbench"                                     ReadWorkbench      v1::workbench::list::list;
    GET    "/workbench/summary"                             ReadWorkbench      v1::workbench::summary::summary;
    GET    "/hires/{id}/links"                              ShareLinks         v1::links::list::list;
    POST   "/hires/{id}/links"                              ShareLinks         v1::links::make::make;
    DELETE "/hires/{id}/links/{link_id}"                    ShareLinks         v1::links::revoke::revoke;
    GET    "/bank/imports"                                  ReadBank           v1::bank::imports::imports;
    GET    "/bank/imports/{id}"                             ReadBank           v1::bank::import::import;
    PUT    "/bank/imports/{id}"                             ReconcileBank      v1::bank::send::send;
    GET    "/bank/entries"                                  ReadBank           v1::bank::entries::entries;
    PUT    "/bank/entries/{id}/match"                       ReconcileBank      v1::bank::put_match::put_match;
    DELETE "/bank/entries/{id}/match"                       ReconcileBank      v1::bank::remove_match::remove_match;
    PUT    "/bank/entries/{id}/aside"                       ReconcileBank      v1::bank::put_aside::put_aside;
    POST   "/payments/events"                               PostMovements      v1::payments::read_events::read_events;
    GET    "/reports"                                       ReadReports        v1::reports::read::read;
    GET    "/reports/tables/{name}"                         ReadReports        v1::reports::table::table;
    GET    "/reports/workbook.xlsx"                         ReadReports        v1::reports::workbook::workbook;
    GET    "/hirer"                                         FollowLink         v1::hirer::read::read;
    GET    "/hirer/statement"                               FollowLink         v1::hirer::statement::statement;
    GET    "/hirer/records/{id}"                            FollowLink         v1::hirer::record::record;
    POST   "/hirer/disputes"                                FollowLink         v1::hirer::dispute::dispute;
    PUT    "/hirer/photos/{id}"                             FollowLink         v1::hirer::put_photo::put_photo;
    GET    "/hirer/photos/{id}"                             FollowLink         v1::hirer::photo::photo;
    GET    "/hires/{id}/statement.pdf"                      ReadStatement      v1::papers::statement::statement;
}

routes! {
    /// About the server itself, at the root. All open: what they tell is for machines that watch it.
    SYSTEM, SystemPaths;
    GET "/api/openapi.json" Open system::describe;
    GET "/healthz"          Open system::alive;
    GET "/readyz"           Open system::ready;
    GET "/metrics"          Open system::metrics;
}

/// What a route of version 1 does; `pattern` is its path with the base, as matched.
#[must_use]
pub fn action(method: &str, pattern: &str) -> Option<Action> {
    let path = pattern.strip_prefix(BASE)?;
    V1.iter().find(|e| e.method == method && e.path == path).map(|e| e.action)
}
