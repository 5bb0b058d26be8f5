use crate::app::App;
use crate::app::photos::{self, Upload};
use crate::app::view::PhotoView;
use crate::http::answer::{Answer, ImageBytes, made};
use crate::http::extract::{Caller, Language, photo_bytes};
use crate::http::problem::Refused;
use actix_web::HttpRequest;
use actix_web::http::header::CONTENT_TYPE;
use actix_web::web::{Data, Path, Payload, Query};
use handsel_domain::ids::{InspectionId, MarkId, PhotoId};
use handsel_domain::inspection::PhotoSubject;
use handsel_domain::template::Key;
use handsel_domain::time::Instant;
use serde::Deserialize;
use utoipa::{IntoParams, ToSchema};

/// What a photograph is of, and when it was taken.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct PhotoQuery {
    of: PhotoOf,
    /// Key of the viewpoint or checkpoint, or id of the mark.
    key: String,
    /// By the device's clock.
    taken_at: Instant,
}

#[derive(Clone, Copy, Debug, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum PhotoOf {
    Viewpoint,
    Checkpoint,
    Mark,
}

impl PhotoQuery {
    fn subject(&self) -> Result<PhotoSubject, Refused> {
        let key: Key = self.key.clone();
        Ok(match self.of {
            PhotoOf::Viewpoint => PhotoSubject::Viewpoint { viewpoint: key },
            PhotoOf::Checkpoint => PhotoSubject::Checkpoint { checkpoint: key },
            PhotoOf::Mark => {
                PhotoSubject::Mark { mark: key.parse::<MarkId>().map_err(|_| photos::not_a_mark(&self.key))? }
            }
        })
    }
}

/// Uploads a photograph. It is kept as it came; what is served of it is upright and carries no metadata.
///
/// Refused, each with a code of its own, is what is empty (`photo_empty`), no JPEG, PNG or WebP (`photo_unsupported`,
/// `photo_heic`, `photo_avif`), not what it was sent as (`photo_type_contradicted`), too large (`photo_too_large`,
/// `photo_too_many_pixels`, `photo_too_long`, `photo_too_much_memory`, `photo_too_much_metadata`), cut off or damaged
/// (`photo_truncated`, `photo_unreadable`, `photo_without_size`), more than one thing (`photo_polyglot`,
/// `photo_animated`), packed to burst (`photo_inflates`, `photo_too_many_scans`), or in colours or a coding that is not
/// read here (`photo_colours`, `photo_coding`).
#[utoipa::path(
    put,
    path = "/inspections/{id}/photos/{photo_id}",
    operation_id = "putPhoto",
    tag = "photos",
    params(("id" = InspectionId, Path), ("photo_id" = PhotoId, Path), PhotoQuery),
    request_body(
        content(
            (ImageBytes = "image/jpeg"),
            (ImageBytes = "image/png"),
            (ImageBytes = "image/webp"),
        ),
        description = "The bytes of the image: at most 25 MiB, 60 megapixels and 16384 pixels along an edge. Its kind is \
                       read from its content; a type that names another kind of image is refused."
    ),
    responses(
        (status = 201, body = PhotoView),
        (status = 200, body = PhotoView, description = "It was already there, with the same content."),
    )
)]
pub(crate) async fn put_photo(
    req: HttpRequest,
    app: Data<App>,
    caller: Caller,
    path: Path<(InspectionId, PhotoId)>,
    query: Query<PhotoQuery>,
    lang: Language,
    payload: Payload,
) -> Answer {
    let (inspection, photo) = path.into_inner();
    let subject = query.subject()?;
    // Asked before the bytes are taken in, so that nobody sends 25 MiB to be told no.
    photos::may_add(&app, &caller, inspection, photo, &subject).await?;
    let declared = req.headers().get(CONTENT_TYPE).and_then(|v| v.to_str().ok()).map(str::to_owned);
    let bytes = photo_bytes(&req, payload).await?;
    let upload = Upload { id: photo, subject, taken_at: query.taken_at, declared, bytes };
    Ok(made(&photos::put(&app, &caller, inspection, upload, lang.0).await?))
}
