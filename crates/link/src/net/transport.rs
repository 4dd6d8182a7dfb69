//! How a connection is carried: windows, silences and the streams that a peer may open. A file of its own without ties
//! to the rest of the net, so that the speed of frames is measured beside a plain copy over the very same settings
//! (`tests/net_speed.rs` takes this file in).

use std::time::Duration;

use iroh::endpoint::{IdleTimeout, QuicTransportConfig, VarInt};

/// A connection that hears nothing for so long is lost; each side speaks often enough to keep it.
const SILENCE: Duration = Duration::from_secs(5);
const HEARTBEAT: Duration = Duration::from_millis(1_500);
/// The most that one stream, and one connection, may have under way.
const STREAM_WINDOW: u32 = 2 * 1024 * 1024;
const WINDOW: u32 = 3 * 1024 * 1024;

/// One stream in each direction is all that a peer may open.
pub(super) fn transport() -> QuicTransportConfig {
    let builder = QuicTransportConfig::builder()
        .max_concurrent_bidi_streams(VarInt::from_u32(1))
        .max_concurrent_uni_streams(VarInt::from_u32(0))
        .stream_receive_window(VarInt::from_u32(STREAM_WINDOW))
        .receive_window(VarInt::from_u32(WINDOW))
        .send_window(u64::from(WINDOW))
        .datagram_receive_buffer_size(None)
        .max_idle_timeout(IdleTimeout::try_from(SILENCE).ok())
        .keep_alive_interval(HEARTBEAT)
        .default_path_max_idle_timeout(SILENCE)
        .default_path_keep_alive_interval(HEARTBEAT);
    builder.build()
}
