"""Proofs for the pages: reading one, and what is taken in."""

from __future__ import annotations

from pinfeather.records.proofs import KINDS, MOST_BYTES, ProofView, read

__all__ = ["KINDS", "MOST_BYTES", "ProofView", "read"]
