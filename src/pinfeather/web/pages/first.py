"""The first hour: four questions about the farm, three about the first day, pretend birds."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from pinfeather.actions import farm as farms
from pinfeather.actions.day import days as day_actions
from pinfeather.actions.first import first_day, places, pretend
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.web import words
from pinfeather.web.door import at_the_farm_computer


class StartForm(forms.Form):
    """Four short questions."""

    name = forms.CharField(
        label=gettext_lazy("What is your farm called?"),
        max_length=80,
        help_text=gettext_lazy("As it should stand on labels."),
    )
    state = forms.ChoiceField(
        label=gettext_lazy("In which state?"),
        help_text=gettext_lazy("Its rules are used; the federal ones where we have none."),
    )
    zone = forms.ChoiceField(
        label=gettext_lazy("Which clock is on the wall?"),
        required=False,
        help_text=gettext_lazy("Filled in from this computer where it says."),
    )
    units = forms.ChoiceField(
        label=gettext_lazy("How do you weigh?"),
        choices=[("us", gettext_lazy("lb, °F, gal")), ("metric", gettext_lazy("kg, °C, L"))],
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        here = places.host_zone()
        self.fields["zone"].initial = here
        for name, options in (
            ("state", places.state_choices()),
            ("zone", places.zone_choices(here)),
        ):
            self.fields[name].choices = options  # type: ignore[attr-defined]


class DayForm(forms.Form):
    """What nobody but the family can know about the first day."""

    count = forms.CharField(
        label=gettext_lazy("How many birds?"),
        max_length=6,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    species = forms.ChoiceField(label=gettext_lazy("Which kind?"), choices=words.SPECIES)
    names = forms.CharField(
        label=gettext_lazy("Who will be there?"),
        max_length=400,
        help_text=gettext_lazy("First names, with commas between."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    date = forms.DateField(
        label=gettext_lazy("On which day?"), widget=forms.DateInput(attrs={"type": "date"})
    )


def start(request: HttpRequest) -> HttpResponse:
    """Ask who the farm is, in four questions."""
    if farms.farm().ready:  # who we are is changed on the farm's own page
        return redirect("farm")
    form = StartForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        got = form.cleaned_data
        profile, tier = places.rules_of(got["state"])
        values = {
            "name": got["name"],
            "profile": profile,
            "tier": tier,
            "zone": got["zone"] or places.zone_of(got["state"]),
            "units": got["units"],
        }
        try:
            farms.save_farm(values)
        except InputFaultsError as error:
            _beside(form, error.faults)
        else:
            return redirect("first_day")
    return render(
        request,
        "pinfeather/start.html",
        {"form": form},
        status=422 if request.method == "POST" else 200,
    )


def first_day_page(request: HttpRequest) -> HttpResponse:
    """Ask what nobody but the family can know, and plan the day."""
    home, today = day_actions.farm_today()
    metric = home.units == "metric"
    start_values = {"date": first_day.first_date(today), "species": "chicken"}
    form = DayForm(request.POST or None, initial=start_values)
    if request.method == "POST" and form.is_valid():
        typed = {**form.cleaned_data, "date": form.cleaned_data["date"].isoformat()}
        try:
            day_id = first_day.plan_first_day(typed, metric=metric)
        except InputFaultsError as error:
            _beside(form, error.faults)
        else:
            messages.success(
                request,
                _("Planned. Cones, tank, ice and weights are assumed: change the plan to yours."),
            )
            return redirect("day", day_id=day_id)
    rules = farms.rules_in_words(home)
    return render(
        request,
        "pinfeather/first_day.html",
        {"form": form, "assumed": first_day.assumed(today, metric=metric), "rules": rules},
        status=422 if request.method == "POST" else 200,
    )


def _beside(form: forms.Form, faults: tuple[InputError, ...] | list[InputError]) -> None:
    for fault in faults:
        form.add_error(fault.name if fault.name in form.fields else None, fault.problem)


def pretend_birds(request: HttpRequest) -> HttpResponse:
    """Start the made-up farm beside this one, and lead there once it answers."""
    here = at_the_farm_computer(request) and not farms.farm().demo
    if request.method == "POST" and here:
        if request.POST.get("do") == "stop":
            pretend.stop()
            return redirect("today")
        pretend.start(request.build_absolute_uri("/"))
        return redirect("pretend")
    address = pretend.address() if here else ""
    response = render(
        request,
        "pinfeather/pretend.html",
        {"here": here, "address": address, "running": here and pretend.running()},
    )
    if address and request.GET.get("stay") is None:
        response.headers["Refresh"] = f"0; url={address}"
    elif here and pretend.running() and not address:
        response.headers["Refresh"] = "1"
    return response
