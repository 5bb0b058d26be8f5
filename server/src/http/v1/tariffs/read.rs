use crate::app::App;
use crate::app::tariffs;
use crate::http::answer::{Answer, ok};
use crate::http::extract::Caller;
use actix_web::web::{Data, Path};
use handsel_domain::ids::TariffId;
use handsel_domain::tariff::Tariff;

/// Reads a tariff version.
#[utoipa::path(
    get,
    path = "/tariffs/{id}",
    operation_id = "readTariff",
    tag = "tariffs",
    params(("id" = TariffId, Path)),
    responses((status = 200, body = Tariff))
)]
pub(crate) async fn read(app: Data<App>, caller: Caller, id: Path<TariffId>) -> Answer {
    Ok(ok(&tariffs::read(&app, &caller, id.into_inner()).await?))
}
