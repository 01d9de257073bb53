use utoipa::openapi::security::{Http, HttpAuthScheme, SecurityScheme};
use utoipa::{Modify, OpenApi};

/// What the description says of the whole.
#[derive(OpenApi)]
#[openapi(
    info(
        title = "inkfathom",
        description = "Prices pictures before they are printed. An estimate is not a measurement.",
    ),
    modifiers(&Keys),
)]
pub(crate) struct Description;

/// How keys are shown.
struct Keys;

impl Modify for Keys {
    fn modify(&self, description: &mut utoipa::openapi::OpenApi) {
        let components = description.components.get_or_insert_default();
        let scheme = SecurityScheme::Http(Http::new(HttpAuthScheme::Bearer));
        components.add_security_scheme("key", scheme);
    }
}
