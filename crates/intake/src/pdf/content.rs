use std::collections::HashMap;

use hayro::hayro_syntax::content::TypedIter;
use hayro::hayro_syntax::content::ops::TypedInstruction;
use hayro::hayro_syntax::object::{Dict, Name, ObjectIdentifier, Stream};
use hayro::hayro_syntax::page::{Page, Resources};

/// Levels of forms within forms that the renderer follows; its own limit.
const MOST_LEVELS: u32 = 50;

/// What it costs to look an object up and to unpack it, in bytes of content that are read in that
/// time. Measured: about 4 µs.
const BYTES_OF_SHOWING: u64 = 256;

/// Bytes of content that drawing a page goes through, with every form as often as it is shown.
///
/// Each form is read once, so that this takes no longer than the file is large, whatever it asks
/// for. `u64::MAX` stands for more than can be counted. Patterns, masks and letters that are
/// drawings are left out; what they draw counts among the marks.
pub(super) fn bytes_to_follow(page: &Page<'_>) -> u64 {
    let shown_from = Place { resources: page.resources(), owner: None, level: 0 };
    Follower::default().content(page.page_stream().unwrap_or_default(), &shown_from)
}

/// Where content stands.
struct Place<'p, 'a> {
    /// What its names mean.
    resources: &'p Resources<'a>,
    /// The form that brings these resources; none for the page's own.
    owner: Option<ObjectIdentifier>,
    /// How many forms it is in.
    level: u32,
}

/// A form at a level, with the owner of the resources that it is shown with.
type Showing = (ObjectIdentifier, Option<ObjectIdentifier>, u32);

#[derive(Default)]
struct Follower {
    known: HashMap<Showing, u64>,
}

impl Follower {
    fn content(&mut self, content: &[u8], place: &Place<'_, '_>) -> u64 {
        let mut bytes = content.len() as u64;
        let mut instructions = TypedIter::new(content);
        while let Some(instruction) = instructions.next() {
            let TypedInstruction::XObject(shown) = instruction else { continue };
            bytes = bytes.saturating_add(BYTES_OF_SHOWING);
            let stream = place.resources.get_x_object(shown.0);
            if let Some(form) = stream.filter(is_form) {
                bytes = bytes.saturating_add(self.form(&form, place));
            }
        }
        bytes
    }

    fn form(&mut self, form: &Stream<'_>, place: &Place<'_, '_>) -> u64 {
        if place.level == MOST_LEVELS {
            return 0;
        }
        let own = form.dict().get::<Dict<'_>>(&b"Resources"[..]).map(Resources::new);
        let within = Place {
            resources: own.as_ref().unwrap_or(place.resources),
            owner: if own.is_some() { Some(form.obj_id()) } else { place.owner },
            level: place.level + 1,
        };
        let showing = (form.obj_id(), within.owner, within.level);
        if let Some(known) = self.known.get(&showing) {
            return *known;
        }
        let content = form.decoded_data().unwrap_or_default();
        let bytes = self.content(&content, &within);
        self.known.insert(showing, bytes);
        bytes
    }
}

fn is_form(stream: &Stream<'_>) -> bool {
    stream.dict().get::<Name<'_>>(&b"Subtype"[..]).is_some_and(|kind| kind.as_str() == "Form")
}
