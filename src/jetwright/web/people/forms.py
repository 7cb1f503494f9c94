"""What is typed on the pages of people, and what of it is refused."""

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from jetwright.report.wording import N_, _
from jetwright.web.people.models import LANGUAGES, LONGEST_PIN, SHORTEST_PIN, THEMES, UNITS, Crew, Person
from jetwright.web.people.rights import ROLES
from jetwright.web.signs import named, of_one_script, taken

NEW_PASSWORD = {"autocomplete": "new-password", "data-shown": "yes"}
PRESENT_PASSWORD = {"autocomplete": "current-password", "data-shown": "yes"}
PIN = {"autocomplete": "off", "inputmode": "numeric", "data-shown": "yes"}
LONGEST_NAME = 80
"""Most signs of what a person or a crew is called."""
NAME = {"autocapitalize": "none", "autocomplete": "username", "spellcheck": "false"}


def refused_pin(pin: str) -> str:
    """Why a PIN is too easy or no PIN, in words; "" where it will do. [-]"""
    if not (pin.isascii() and pin.isdecimal() and SHORTEST_PIN <= len(pin) <= LONGEST_PIN):
        return _("A PIN is {least} to {most} digits.").format(least=SHORTEST_PIN, most=LONGEST_PIN)
    steps = {(int(after) - int(before)) % 10 for before, after in zip(pin, pin[1:], strict=False)}
    again = any(len(pin) % size == 0 and pin == pin[:size] * (len(pin) // size) for size in range(1, len(pin) // 2 + 1))
    if again or steps in ({1}, {9}):
        return _("This PIN is among the first that anybody tries. Take digits that neither repeat nor count.")
    return ""


class SpokenForm(forms.Form):
    """A form whose choices are said in the person's language."""

    spoken_choices: dict[str, dict[str, str]] = {}

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for name, words in self.spoken_choices.items():
            self.fields[name].choices = [(value, _(word)) for value, word in words.items()]  # type: ignore[attr-defined]


class PasswordField(forms.CharField):
    """A password as it is typed: nothing is stripped from it."""

    def __init__(self, **options: Any) -> None:
        attrs = options.pop("attrs", NEW_PASSWORD)
        widget = forms.PasswordInput(attrs)
        super().__init__(**{"max_length": 128, "strip": False, "widget": widget, **options})


class PinField(forms.CharField):
    """A PIN."""

    def __init__(self, **options: Any) -> None:
        widget = forms.PasswordInput(PIN)
        super().__init__(**{"label": N_("PIN"), "max_length": LONGEST_PIN, "widget": widget, **options})

    def clean(self, value: Any) -> Any:
        """The digits. [-]"""
        pin = super().clean(value)
        why = refused_pin(pin) if pin else ""
        if why:
            raise ValidationError(why)
        return pin


class UsernameField(forms.CharField):
    """A name to enter with: small letters, so that a phone's first capital does not matter."""

    def __init__(self, **options: Any) -> None:
        widget = forms.TextInput(NAME)
        super().__init__(**{"label": N_("Name to enter with"), "max_length": 150, "widget": widget, **options})

    def to_python(self, value: Any) -> Any:
        """In small letters. [-]"""
        return str(super().to_python(value)).lower()


class EnterForm(forms.Form):
    """Who comes in."""

    username = UsernameField()
    password = PasswordField(label=N_("Password"), attrs=PRESENT_PASSWORD)


class SecretForm(forms.Form):
    """A PIN or a password."""

    secret = PasswordField(label=N_("PIN or password"), attrs=PRESENT_PASSWORD)


class PinForm(forms.Form):
    """Who takes over, with the PIN."""

    person = forms.UUIDField()
    pin = forms.CharField(label=N_("PIN"), max_length=LONGEST_PIN, widget=forms.PasswordInput(PIN))


class PersonForm(SpokenForm):
    """A new person; role and crew go together."""

    username = UsernameField(help_text=N_("Small letters, digits and . - _, such as “ada” or “m.moe”."))
    name = forms.CharField(label=N_("Name"), max_length=LONGEST_NAME, help_text=N_("As it is printed on a job sheet."))
    language = forms.ChoiceField(label=N_("Language"))
    units = forms.ChoiceField(label=N_("Units"))
    crew = forms.ModelChoiceField(label=N_("Crew"), queryset=Crew.objects.none(), required=False)
    role = forms.ChoiceField(label=N_("Role"), required=False)
    spoken_choices = {"language": LANGUAGES, "units": UNITS, "role": {"": N_("No role yet"), **ROLES}}

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["crew"].queryset = Crew.objects.filter(retired_at=None)  # type: ignore[attr-defined]
        self.fields["crew"].empty_label = _("No crew yet")  # type: ignore[attr-defined]

    def clean_username(self) -> str:
        """A name that nobody has, of signs that every keyboard has. [-]"""
        return unused_username(self.cleaned_data["username"])

    def clean_name(self) -> str:
        """A name that is seen, and nobody else's. [-]"""
        return unused_name(self.cleaned_data["name"])

    def clean(self) -> dict[str, Any]:
        """Crew and role together, or neither. [-]"""
        if bool(self.cleaned_data.get("crew")) != bool(self.cleaned_data.get("role")) and "crew" not in self.errors:
            self.add_error("role", _("Give the crew and the role together, or neither."))
        return self.cleaned_data


class FirstForm(SpokenForm):
    """The first account, and its crew."""

    username = UsernameField(help_text=N_("Small letters, digits and . - _, such as “ada” or “m.moe”."))
    name = forms.CharField(label=N_("Name"), max_length=LONGEST_NAME, help_text=N_("As it is printed on a job sheet."))
    new = PasswordField(label=N_("Password"), help_text=N_("At least 10 signs. Three words in a row do well."))
    pin = PinField(help_text=N_("4 to 8 digits. It signs sheets and opens a locked tablet."))
    crew = forms.CharField(label=N_("Name of the crew"), max_length=LONGEST_NAME)
    language = forms.ChoiceField(label=N_("Language"))
    units = forms.ChoiceField(label=N_("Units"))
    spoken_choices = {"language": LANGUAGES, "units": UNITS}

    def clean_username(self) -> str:
        """A name of signs that every keyboard has. [-]"""
        return unused_username(self.cleaned_data["username"])

    def clean_name(self) -> str:
        """A name that is seen. [-]"""
        return unused_name(self.cleaned_data["name"])

    def clean_crew(self) -> str:
        """A name that is seen, too. [-]"""
        return unused_crew(self.cleaned_data["crew"])

    def clean(self) -> dict[str, Any]:
        """A password that is not near the names. [-]"""
        given = self.cleaned_data
        somebody = Person(username=given.get("username", ""), name=given.get("name", ""))
        _check_password(self, given.get("new", ""), somebody)
        return given


class MeForm(SpokenForm):
    """What one may change about oneself without a password."""

    name = forms.CharField(label=N_("Name"), max_length=LONGEST_NAME, help_text=N_("As it is printed on a job sheet."))
    language = forms.ChoiceField(label=N_("Language"))
    units = forms.ChoiceField(label=N_("Units"))
    theme = forms.ChoiceField(label=N_("Light or dark"), required=False)
    version = forms.IntegerField(widget=forms.HiddenInput)
    spoken_choices = {"language": LANGUAGES, "units": UNITS, "theme": THEMES}

    def __init__(self, *args: Any, person: Person, **options: Any) -> None:
        super().__init__(*args, **options)
        self.person = person

    def clean_name(self) -> str:
        """A name that is seen, and nobody else's. [-]"""
        return unused_name(self.cleaned_data["name"], self.person)


class PersonAdminForm(forms.ModelForm):  # type: ignore[type-arg]
    """A person in the administrator's pages."""

    class Meta:
        model = Person
        fields = ("username", "name", "language", "units", "theme", "is_active", "is_superuser", "must_change")

    def clean_name(self) -> str:
        """A name that is seen, and nobody else's. [-]"""
        return unused_name(self.cleaned_data["name"], self.instance)


class CrewAdminForm(forms.ModelForm):  # type: ignore[type-arg]
    """A crew in the administrator's pages."""

    class Meta:
        model = Crew
        fields = ("name", "retired_at")

    def clean_name(self) -> str:
        """A name that is seen, and no other crew's. [-]"""
        return unused_crew(self.cleaned_data["name"], self.instance)


class OwnPasswordForm(forms.Form):
    """A new password of one's own; with a PIN, where there is none yet."""

    password = PasswordField(label=N_("Present password"), attrs=PRESENT_PASSWORD)
    new = PasswordField(label=N_("New password"), help_text=N_("At least 10 signs. Three words in a row do well."))
    pin = PinField(help_text=N_("4 to 8 digits. It signs sheets and opens a locked tablet."))

    def __init__(self, *args: Any, person: Person, **options: Any) -> None:
        super().__init__(*args, **options)
        self.person = person
        if person.pin:
            del self.fields["pin"]

    def clean(self) -> dict[str, Any]:
        """Another password, that is not near the names. [-]"""
        given = self.cleaned_data
        if given.get("new") and given["new"] == given.get("password"):
            self.add_error("new", _("This is the password you have. Choose another."))
        else:
            _check_password(self, given.get("new", ""), self.person)
        return given


class OwnPinForm(forms.Form):
    """A new PIN of one's own."""

    password = PasswordField(label=N_("Password"), attrs=PRESENT_PASSWORD)
    pin = PinField(label=N_("New PIN"), help_text=N_("4 to 8 digits that neither repeat nor count."))


class RoleForm(SpokenForm):
    """A role in a crew."""

    crew = forms.ModelChoiceField(label=N_("Crew"), queryset=Crew.objects.none(), empty_label=None)
    role = forms.ChoiceField(label=N_("Role"))
    spoken_choices = {"role": dict(ROLES)}

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["crew"].queryset = Crew.objects.filter(retired_at=None)  # type: ignore[attr-defined]


class CrewForm(forms.Form):
    """A new crew."""

    name = forms.CharField(label=N_("Name of the crew"), max_length=LONGEST_NAME)

    def clean_name(self) -> str:
        """A name that no crew has. [-]"""
        return unused_crew(self.cleaned_data["name"])


def unused_username(username: str) -> str:
    """The name to enter with; refused where somebody has it or a sign of it is not on every keyboard. [-]"""
    if not username.isascii() or not all(sign.isalnum() or sign in ".-_@+" for sign in username):
        raise ValidationError(_("Only small letters a to z, digits and . - _ in a name to enter with."))
    if Person.objects.filter(username__iexact=username).exists():
        raise ValidationError(_("Somebody enters with that name already."))
    return username


def unused_name(name: str, person: Person | None = None) -> str:
    """The name to be called; refused where it cannot be read, passes for another, or is another person's. [-]"""
    name = of_one_script(named(name, LONGEST_NAME))
    others = Person.objects.exclude(pk=None if person is None else person.pk).values_list("name", "username")
    if taken(name, (one for both in others for one in both)):
        raise ValidationError(_("Somebody is called that already. Add what tells you apart, as on a badge."))
    return name


def unused_crew(name: str, crew: Crew | None = None) -> str:
    """The name of a crew; refused where it cannot be read, or another crew has it. [-]"""
    name = named(name, LONGEST_NAME)
    others = Crew.objects.all() if crew is None else Crew.objects.exclude(pk=crew.pk)
    if taken(name, others.values_list("name", flat=True)):
        raise ValidationError(_("There is a crew of that name."))
    return name


def _check_password(form: forms.Form, password: str, person: Person) -> None:
    if password:
        try:
            validate_password(password, person)
        except ValidationError as why:
            form.add_error("new", why)
