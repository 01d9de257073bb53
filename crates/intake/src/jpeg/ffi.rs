//! The one place that touches the C library below the decoder: its error manager, so that
//! warnings are heard, and the question whether it was built with vector instructions.

use std::cell::RefCell;
use std::mem;
use std::panic::resume_unwind;

use mozjpeg_sys::{J_MESSAGE_CODE, c_int, jpeg_common_struct, jpeg_error_mgr, jpeg_std_error};

/// What the library warns of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Warning {
    pub(super) code: J_MESSAGE_CODE,
    /// The first number of the message, if it has one.
    pub(super) amount: c_int,
}

/// Different warnings that are kept; our choice: the library knows fewer kinds.
const MOST_WARNINGS: usize = 64;

thread_local! {
    /// Warnings of the decoder that runs on this thread. The library calls back on the thread
    /// that called it.
    static WARNINGS: RefCell<Vec<Warning>> = const { RefCell::new(Vec::new()) };
}

/// An error manager that unwinds on errors, with the library's message as a `String`, and
/// collects warnings for [`take_warnings`]. Nothing is printed: unwinding starts without the
/// panic hook.
pub(super) fn error_manager() -> jpeg_error_mgr {
    // SAFETY: all bits zero is a valid value of this C struct (numbers, null pointers and
    // absent functions), and `jpeg_std_error` fills it in without keeping the reference.
    let mut manager = unsafe {
        let mut manager: jpeg_error_mgr = mem::zeroed();
        jpeg_std_error(&mut manager);
        manager
    };
    manager.error_exit = Some(stop);
    manager.emit_message = Some(note);
    manager.output_message = Some(say_nothing);
    manager
}

/// The warnings since the last call.
pub(super) fn take_warnings() -> Vec<Warning> {
    WARNINGS.with_borrow_mut(mem::take)
}

extern "C-unwind" fn stop(decoder: &mut jpeg_common_struct) {
    resume_unwind(Box::new(message(decoder)));
}

/// Warnings have the level -1; higher levels trace what is going on.
extern "C-unwind" fn note(decoder: &mut jpeg_common_struct, level: c_int) {
    if level >= 0 {
        return;
    }
    // SAFETY: the library calls back with the manager that `error_manager` made, which lives as
    // long as the decoder; all bits of the message's numbers are initialised and any is valid.
    let (code, amount) = unsafe {
        let manager = &mut *decoder.err;
        (manager.msg_code, (*manager.msg_parm.i())[0])
    };
    keep(Warning { code, amount });
}

/// Keeps a warning unless it is known; broken pictures repeat one in every block.
fn keep(warning: Warning) {
    WARNINGS.with_borrow_mut(|warnings| {
        if warnings.len() < MOST_WARNINGS && !warnings.contains(&warning) {
            warnings.push(warning);
        }
    });
}

extern "C-unwind" fn say_nothing(_decoder: &mut jpeg_common_struct) {}

fn message(decoder: &mut jpeg_common_struct) -> String {
    type Declared = unsafe extern "C-unwind" fn(&mut jpeg_common_struct, &[u8; 80]);
    type Actual = unsafe extern "C-unwind" fn(&mut jpeg_common_struct, &mut [u8; 80]);
    let mut text = [0; 80];
    // SAFETY: as in `note`. The binding declares the buffer as shared although the C function
    // writes at most 80 bytes to it, ended by a zero; the types differ in nothing else.
    unsafe {
        if let Some(format) = (*decoder.err).format_message {
            mem::transmute::<Declared, Actual>(format)(decoder, &mut text);
        }
    }
    let end = text.iter().position(|byte| *byte == 0).unwrap_or(text.len());
    String::from_utf8_lossy(&text[..end]).into_owned()
}

unsafe extern "C" {
    /// Whether the inverse transform runs with vector instructions here; part of the library's
    /// own interface between C and assembler (`jsimddct.h`).
    safe fn jsimd_can_idct_islow() -> c_int;
}

pub(super) fn is_accelerated() -> bool {
    jsimd_can_idct_islow() != 0
}
