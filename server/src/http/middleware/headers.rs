use actix_web::middleware::DefaultHeaders;

/// What browsers are told about every answer that does not say otherwise itself. Encryption, and insisting on it, is
/// the reverse proxy's part.
pub(in crate::http) fn headers() -> DefaultHeaders {
    DefaultHeaders::new()
        .add(("X-Content-Type-Options", "nosniff"))
        .add(("Referrer-Policy", "no-referrer"))
        .add(("X-Frame-Options", "DENY"))
        .add(("Cross-Origin-Opener-Policy", "same-origin"))
        .add(("Cross-Origin-Resource-Policy", "same-origin"))
        .add(("Permissions-Policy", "camera=(self), geolocation=(), microphone=()"))
        .add((
            "Content-Security-Policy",
            "default-src 'self'; img-src 'self' blob: data:; style-src 'self' 'unsafe-inline'; object-src 'none'; \
             base-uri 'none'; form-action 'self'; frame-ancestors 'none'; worker-src 'self'",
        ))
        // Answers about people and money stay out of caches; files and photographs say so themselves.
        .add(("Cache-Control", "no-store"))
}
