"""Duties: what falls due, what was done, and the papers that prove it."""

from pinfeather.actions.duties.binder import BinderPapers, for_binder

__all__ = ["BinderPapers", "for_binder"]
