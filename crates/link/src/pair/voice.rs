//! The SPAKE2 exchange under a spoken code: the password is the code, the names are both devices' keys, so that a
//! middle man, who has other keys, gets nothing that fits. The crate `spake2` does the arithmetic (the SPAKE2 of
//! RFC 9382's family over edwards25519); its randomness comes from the caller's 32 bytes.

use rand_core::{CryptoRng, RngCore};
use spake2::{Ed25519Group, Identity as Name, Password, Spake2};

use super::Spoken;
use crate::identity::Key;

/// One side amid the exchange.
pub(super) struct Voice(Spake2<Ed25519Group>);

/// Which side speaks.
#[derive(Clone, Copy)]
pub(super) enum VoiceSide {
    Guest,
    Host,
}

impl Voice {
    /// Begins as one side; gives the half to send.
    pub(super) fn begin(
        side: VoiceSide,
        spoken: &Spoken,
        guest: Key,
        host: Key,
        random: [u8; 32],
    ) -> (Self, Vec<u8>) {
        let password = Password::new(spoken.digits());
        let (guest, host) = (Name::new(guest.as_bytes()), Name::new(host.as_bytes()));
        let random = Drawn(blake3::Hasher::new_keyed(&random).finalize_xof());
        let (state, half) = match side {
            VoiceSide::Guest => Spake2::start_a_with_rng(&password, &guest, &host, random),
            VoiceSide::Host => Spake2::start_b_with_rng(&password, &guest, &host, random),
        };
        (Self(state), half)
    }

    /// The shared secret of 128 bits, once the other half is there; none if that is no half. It is used from then on
    /// as a ticket's secret is, so that both roads end alike.
    pub(super) fn finish(self, half: &[u8]) -> Option<[u8; 16]> {
        let shared = self.0.finish(half).ok()?;
        let mut secret = [0; 16];
        blake3::Hasher::new_derive_key("witnessmark pairing by voice 1")
            .update(&shared)
            .finalize_xof()
            .fill(&mut secret);
        Some(secret)
    }
}

/// A stream of randomness drawn from the caller's bytes.
struct Drawn(blake3::OutputReader);

impl RngCore for Drawn {
    fn next_u32(&mut self) -> u32 {
        let mut bytes = [0; 4];
        self.0.fill(&mut bytes);
        u32::from_le_bytes(bytes)
    }

    fn next_u64(&mut self) -> u64 {
        let mut bytes = [0; 8];
        self.0.fill(&mut bytes);
        u64::from_le_bytes(bytes)
    }

    fn fill_bytes(&mut self, bytes: &mut [u8]) {
        self.0.fill(bytes);
    }

    fn try_fill_bytes(&mut self, bytes: &mut [u8]) -> Result<(), rand_core::Error> {
        self.0.fill(bytes);
        Ok(())
    }
}

impl CryptoRng for Drawn {}
