"""The sanitary plan: its steps, the daily sheet, corrective actions; what a binder takes of it."""

from pinfeather.actions.sanitary.binder import SanitaryBinder as SanitaryBinder
from pinfeather.actions.sanitary.binder import for_binder as for_binder
