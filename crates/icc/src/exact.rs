//! Transforms in floating point without shortcuts.

use lcms2::{
    DisallowCache, Flags, LCMSResult, PixelFormat, Pod, Profile, ThreadContext, Transform,
};

use crate::RenderingIntent;

/// A transform that neither approximates nor keeps state between calls.
pub(crate) type Exact<From, To> = Transform<From, To, ThreadContext, DisallowCache>;

/// One end of a transform.
pub(crate) type End<'a> = (&'a Profile<ThreadContext>, PixelFormat);

pub(crate) fn exact<From: Copy + Pod, To: Copy + Pod>(
    context: &ThreadContext,
    (source, source_format): End<'_>,
    (target, target_format): End<'_>,
    intent: RenderingIntent,
) -> LCMSResult<Exact<From, To>> {
    Transform::new_flags_context(
        context,
        source,
        source_format,
        target,
        target_format,
        intent.to_lcms(),
        Flags::NO_CACHE | Flags::NO_OPTIMIZE,
    )
}
