//! The fuzzer: libFuzzer over one target, whose name is in `TARGET`. With a folder in `SEEDS` it writes what to begin with there.

#![no_main]

#[path = "../../fuzz/books.rs"]
mod books;
mod seeds;
#[path = "../targets.rs"]
mod targets;

use std::ffi::{CStr, c_char, c_void};
use std::sync::OnceLock;

use libfuzzer_sys::fuzz_target;

fuzz_target!(init: {
    if let Some(folder) = std::env::var_os("SEEDS") {
        seeds::write(folder.as_ref());
        std::process::exit(0);
    }
}, |bytes: &[u8]| {
    static TARGET: OnceLock<targets::Target> = OnceLock::new();
    TARGET.get_or_init(|| {
        let wanted = std::env::var("TARGET").expect("the name of a target in TARGET");
        let found = targets::TARGETS.iter().find(|(name, _)| *name == wanted);
        found.expect("a target of that name").1
    })(bytes);
});

/// What `-print_coverage=1` asks of a sanitizer's runtime, which is not linked here: function, file and line of an address.
///
/// # Safety
/// Called by libFuzzer alone, with a format of its own and a buffer of `size` bytes.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn __sanitizer_symbolize_pc(
    address: *mut c_void,
    format: *const c_char,
    buffer: *mut c_char,
    size: usize,
) {
    let (mut function, mut file, mut line) = (String::from("?"), String::from("?"), 0);
    backtrace::resolve(address, |symbol| {
        if let Some(name) = symbol.name() {
            function = format!("{name:#}");
        }
        if let Some(path) = symbol.filename() {
            file = path.display().to_string();
        }
        line = symbol.lineno().unwrap_or(line);
    });
    // SAFETY: the format ends with a zero, and the buffer has `size` bytes.
    unsafe {
        let format = CStr::from_ptr(format).to_string_lossy();
        let told = match &*format {
            "%s" => file,
            "%l" => line.to_string(),
            "%F" => format!("in {function}"),
            _ => format!("in {function} {file}:{line}"),
        };
        let length = told.len().min(size.saturating_sub(1));
        buffer.copy_from_nonoverlapping(told.as_ptr().cast(), length);
        *buffer.add(length) = 0;
    }
}

/// The other thing that `-print_coverage=1` asks: the module of an address, which is always this one.
///
/// # Safety
/// Called by libFuzzer alone, with a buffer of `size` bytes.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn __sanitizer_get_module_and_offset_for_pc(
    address: *mut c_void,
    module: *mut c_char,
    size: usize,
    offset: *mut *mut c_void,
) -> i32 {
    // SAFETY: the buffer has `size` bytes, and the place for the offset is there.
    unsafe {
        if size > 0 {
            *module = 0;
        }
        *offset = address;
    }
    1
}
