"""The farm's own pages: name and rules, people."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext_lazy as _

from pinfeather.actions import farm as farms
from pinfeather.actions.rules.choices import profile_choices, tier_choices
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.web.words import STATIONS


class FarmForm(forms.Form):
    """What labels and records say about the farm."""

    name = forms.CharField(label=_("Farm's name"), max_length=80)
    address = forms.CharField(
        label=_("Address"),
        max_length=300,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("As it stands on labels, with the zip code."),
    )
    phone = forms.CharField(label=_("Phone"), max_length=40, required=False)
    zone = forms.CharField(
        label=_("Time zone"), max_length=64, help_text=_("Such as America/Chicago.")
    )
    profile = forms.ChoiceField(label=_("Rules of"), help_text=_("Your state's office decides."))
    tier = forms.ChoiceField(label=_("Exemption"))
    altitude = forms.CharField(label=_("Altitude"), max_length=40, help_text=_("Such as 900 ft."))
    price_per_lb = forms.DecimalField(
        label=_("Price per lb"), required=False, min_value=0, max_digits=6, decimal_places=2
    )
    water_source = forms.ChoiceField(
        label=_("Water"), choices=[("well", _("Own well")), ("town", _("Town water"))]
    )
    water_test = forms.DateField(
        label=_("Last water test"), required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    units = forms.ChoiceField(
        label=_("Units"), choices=[("us", _("lb, °F, gal")), ("metric", _("kg, °C, L"))]
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.fields["profile"].choices = profile_choices()  # type: ignore[attr-defined]
        profile = self.data.get("profile") or self.initial.get("profile") or "us-federal"
        self.fields["tier"].choices = tier_choices(str(profile))  # type: ignore[attr-defined]


class PersonForm(forms.Form):
    """Somebody and what they do."""

    name = forms.CharField(label=_("Name"), max_length=40)
    stations = forms.MultipleChoiceField(
        label=_("Can do"), choices=STATIONS, widget=forms.CheckboxSelectMultiple
    )
    pace = forms.FloatField(
        label=_("Pace"),
        min_value=0.2,
        max_value=3,
        initial=1,
        help_text=_("1 is the plan's own pace; a beginner may be 0.6."),
    )


def _keep(form: forms.Form, error: InputError | InputFaultsError) -> None:
    """Put the domain's sentences beside the form's fields."""
    faults = error.faults if isinstance(error, InputFaultsError) else (error,)
    for fault in faults:
        form.add_error(fault.name if fault.name in form.fields else None, fault.problem)


def farm(request: HttpRequest) -> HttpResponse:
    """Show and change the farm and its people."""
    what = request.POST.get("what", "")
    now = farms.farm_as_kept()
    start = {name: getattr(now, name) for name in farms.FARM_FIELDS}
    forms_ = {
        "farm": FarmForm(
            request.POST if what == "farm" else None, initial=start, auto_id="farm_%s"
        ),
        "person": PersonForm(request.POST if what == "person" else None, auto_id="person_%s"),
    }
    if request.method == "POST" and what in forms_ and forms_[what].is_valid():
        form, values = forms_[what], forms_[what].cleaned_data
        try:
            if what == "farm":
                price = values["price_per_lb"]
                farms.save_farm({**values, "price_per_lb": "" if price is None else f"{price:.2f}"})
            else:
                farms.save_person(values["name"], values["stations"], pace=values["pace"])
        except (InputError, InputFaultsError) as error:
            _keep(form, error)
        else:
            messages.success(request, _("Saved."))
            return redirect("farm")
    return render(
        request,
        "pinfeather/farm.html",
        {"forms": forms_, "people": farms.people(), "open": what},
        status=422 if request.method == "POST" else 200,
    )
