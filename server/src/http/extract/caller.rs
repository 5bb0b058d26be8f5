use crate::app::{self, App, Code};
use crate::http::problem::Refused;
use crate::http::routes;
use actix_web::body::MessageBody;
use actix_web::dev::{Payload, ServiceRequest, ServiceResponse};
use actix_web::http::header::AUTHORIZATION;
use actix_web::middleware::Next;
use actix_web::{Error, FromRequest, HttpMessage, HttpRequest, web};
use handsel_domain::policy::Action;
use std::future::{Ready, ready};
use std::ops::Deref;

/// Whoever is signed in and may do what the route table says this route does.
#[derive(Clone, Debug)]
pub(crate) struct Caller(app::Caller);

impl Deref for Caller {
    type Target = app::Caller;
    fn deref(&self) -> &app::Caller {
        &self.0
    }
}

impl FromRequest for Caller {
    type Error = Refused;
    type Future = Ready<Result<Self, Refused>>;

    fn from_request(req: &HttpRequest, _: &mut Payload) -> Self::Future {
        // Missing only where a route that the table calls open asks for a caller.
        let caller = req.extensions().get::<Self>().cloned();
        ready(caller.ok_or_else(|| Refused::new(Code::Unauthenticated, "Sign in to do this.")))
    }
}

/// Somebody who followed a hirer's link that is good.
#[derive(Clone, Debug)]
pub(crate) struct Follower(app::hirer::Follower);

impl Deref for Follower {
    type Target = app::hirer::Follower;
    fn deref(&self) -> &app::hirer::Follower {
        &self.0
    }
}

impl FromRequest for Follower {
    type Error = Refused;
    type Future = Ready<Result<Self, Refused>>;

    fn from_request(req: &HttpRequest, _: &mut Payload) -> Self::Future {
        let follower = req.extensions().get::<Self>().cloned();
        ready(follower.ok_or_else(|| Refused::new(Code::Unauthenticated, "Open the link you were sent to do this.")))
    }
}

/// Stands before every route of version 1: finds its action in the route table, and lets nobody past who may not.
/// A handler that forgets to ask for its caller is guarded all the same.
pub(crate) async fn authorise<B: MessageBody + 'static>(
    req: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<impl MessageBody>, Error> {
    let action = req.match_pattern().and_then(|pattern| routes::action(req.method().as_str(), &pattern));
    let allowed = match action {
        // Not a route, or an open one.
        None | Some(Action::Open) => Ok(()),
        Some(action) => identify(&req, action).await,
    };
    match allowed {
        Ok(()) => next.call(req).await.map(ServiceResponse::map_into_left_body),
        Err(refused) => Ok(req.error_response(refused).map_into_right_body::<B>()),
    }
}

async fn identify(req: &ServiceRequest, action: Action) -> Result<(), Refused> {
    let Some(app) = req.app_data::<web::Data<App>>().cloned() else {
        return Err(app::Refusal::internal("the application is not in the request").into());
    };
    let header = req.headers().get(AUTHORIZATION).and_then(|v| v.to_str().ok());
    let token = header.and_then(|v| {
        let (scheme, token) = v.split_once(' ')?;
        scheme.eq_ignore_ascii_case("bearer").then(|| token.trim().to_owned())
    });
    let Some(token) = token else {
        return Err(Refused::new(
            Code::Unauthenticated,
            "Sign in, and send the access token as Authorization: Bearer <token>.",
        ));
    };
    if action == Action::FollowLink {
        let follower = app::hirer::identify(&app, &token).await?;
        req.extensions_mut().insert(Follower(follower));
        return Ok(());
    }
    let caller = app::auth::identify(&app, &token).await?;
    caller.must(action)?;
    req.extensions_mut().insert(Caller(caller));
    Ok(())
}
