"""Templates of pages: translated, labelled, nothing inline or from elsewhere, some words never."""

from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.house.template_rules import (
    NOT_OF_AN_OBJECT,
    RULES,
    UNTRANSLATED,
    address_findings,
    inline_findings,
    label_findings,
    templates,
    translation_findings,
    word_findings,
)
from tests.house.tree import SourceFile, read_tree, repository

WEB = Path("src/strandline/web")


def planted(root: Path, text: str, name: str = "templates/web/x.html") -> Sequence[SourceFile]:
    """A tree with one file of the pages."""
    file = root / WEB / name
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(text, encoding="utf-8")
    return read_tree(root)


@pytest.mark.parametrize("name", RULES)
def test_templates_keep_the_rules(name: str) -> None:
    """Every template of the repository keeps each rule."""
    assert templates(repository()) != []
    assert RULES[name](repository()) == []


@pytest.mark.parametrize(
    "text",
    [
        "<p>Three rooms</p>",
        "<h1>{{ look.tag }} is here</h1>",
        '<p>{% translate "Before" %} and after</p>',
        '<img src="x" alt="A jar">',
        '<input aria-label="Tag" placeholder="{% translate \'Tag\' %}">',
        '<p title="{{ x }} of it">{{ x }}</p>',
        '{% include "web/_f.html" with name="tag" label="The tag" %}',
        "<p>{{ look.title|default:'nothing' }}</p>",
        "<p title=\"{{ x|default:'none' }}\"></p>",
        "{% blocktranslate %}One{% endblocktranslate %} two",
    ],
)
def test_untranslated_text_is_found(tmp_path: Path, text: str) -> None:
    """Text, an attribute that is read out, words handed on, the usual words of a filter."""
    assert len(translation_findings(planted(tmp_path, text))) == 1


@pytest.mark.parametrize(
    "text",
    [
        '<p class="quiet {{ x|default:\'plain\' }}">{% translate "Hello" %} · {{ name }}: 12, {{ n }} mm</p>',
        "{% blocktranslate trimmed with n=one.n %}{{ n }} <b>things</b>{% endblocktranslate %}",
        '{% include "web/_f.html" with name="tag" label=_("The tag") %}',
        "{% comment %}why{% endcomment %}{# a note #}<!-- a remark --><p>{{ a|default:_('none') }}</p>",
        '<input type="hidden" name="do" value="move"><p>{{ t }} °C, {{ rh }} % RH</p>',
    ],
)
def test_translated_text_passes(tmp_path: Path, text: str) -> None:
    """What is translated, a variable, a number, a unit, a key or a comment is fine."""
    assert translation_findings(planted(tmp_path, text)) == []


def test_a_finding_names_its_line(tmp_path: Path) -> None:
    """Tags over several lines do not move what comes after them."""
    text = "{% blocktranslate trimmed %}\nOne\nTwo\n{% endblocktranslate %}\n<p>\n{{ x }} three</p>\n"
    (found,) = translation_findings(planted(tmp_path, text))
    assert found == "src/strandline/web/templates/web/x.html:6: is not translated: 'three'"


@pytest.mark.parametrize(
    "text",
    [
        '<p style="color: red"></p>',
        '<button onclick="go()"></button>',
        "<body onload={{ x }}></body>",
        "<script>go()</script>",
        "<style>p { color: red }</style>",
        '<a hx-on="click: go()"></a>',
    ],
)
def test_inline_styles_and_scripts_are_found(tmp_path: Path, text: str) -> None:
    """Attributes and elements that the content policy would not let run."""
    assert inline_findings(planted(tmp_path, text)) != []


def test_a_script_of_a_file_passes(tmp_path: Path) -> None:
    """Scripts and styles come from files."""
    text = '<script src="{% static "a.js" %}" defer></script><link rel="stylesheet" href="{{ x }}">'
    assert inline_findings(planted(tmp_path, text)) == []


@pytest.mark.parametrize(
    "text",
    [
        "<img src='x'>",
        '<input name="tag">',
        '<label for="b">{{ x }}</label><input id="a" name="tag">',
        '<label for="f-{{ name }}">{{ x }}</label><select id="f-{{ other }}" name="tag"></select>',
        "<label>{{ x }}</label><textarea name='note'></textarea>",
    ],
)
def test_a_field_without_label_is_found(tmp_path: Path, text: str) -> None:
    """Pictures without a text, fields without a label or with that of another one."""
    assert len(label_findings(planted(tmp_path, text))) == 1


@pytest.mark.parametrize(
    "text",
    [
        "<img src='x' alt=''>",
        '<input type="hidden" name="key">',
        '<label for="f-{{ name }}">{{ x }}</label><input id="f-{{ name }}" {% if y %}required{% endif %}>',
        "<label>{{ x }} <input name='tag'></label>",
        "<input aria-label=\"{% translate 'Tag' %}\">",
    ],
)
def test_a_field_with_a_name_passes(tmp_path: Path, text: str) -> None:
    """A label by id, around it, or a name that is read out."""
    assert label_findings(planted(tmp_path, text)) == []


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("templates/web/x.html", '<a href="https://example.invalid/">{{ x }}</a>'),
        ("templates/web/x.html", '<img src="//example.invalid/x.png" alt="">'),
        ("static/strandline/x.css", "@import url('other.css');\n"),
        ("static/strandline/x.css", "p { background: url(//example.invalid/x) }\n"),
        ("static/strandline/x.js", 'fetch("http://example.invalid/")\n'),
    ],
)
def test_an_address_elsewhere_is_found(tmp_path: Path, name: str, text: str) -> None:
    """Links, pictures, styles and scripts that lead to another host."""
    assert address_findings(planted(tmp_path, text, name)) != []


def test_own_addresses_pass(tmp_path: Path) -> None:
    """A path of this server, and the name of the drawing format, lead nowhere else."""
    text = '<a href="/start/">{{ x }}</a><svg xmlns="http://www.w3.org/2000/svg"></svg>'
    assert address_findings(planted(tmp_path, text)) == []


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("templates/web/x.html", "<p>{% translate 'The jar is clean now' %}</p>"),
        ("templates/web/x.html", "{% blocktranslate with n=x %}{{ n }} is Safe{% endblocktranslate %}"),
        ("templates/web/x.html", "<p>overdue</p>"),
        ("x.py", 'SAID = _("Sterile, with a certificate")\n'),
        ("x.py", 'SAID = f"smell it: {1}"\n'),
        ("x.toml", 'say = "sanitised"\n'),
    ],
)
def test_words_that_may_not_stand_on_a_page_are_found(tmp_path: Path, name: str, text: str) -> None:
    """In a template, in Python and in a table of words."""
    assert word_findings(planted(tmp_path, text, name)) != []


def test_other_words_pass(tmp_path: Path) -> None:
    """A docstring, a name in code, a filter, a longer word, and a word that names a key."""
    text = '"""Clean code is safe."""\n\nfrom x import SafeString\n\nform.cleaned_data["cleanse"]\n'
    text += 'KEY = "clean"\n'
    planted(tmp_path, text, "x.py")
    assert word_findings(planted(tmp_path, "<p>{{ x|safe }}</p>")) == []


def test_what_is_let_stand_says_why() -> None:
    """Each exception has its reason."""
    assert all(why.strip() for why in (*UNTRANSLATED.values(), *NOT_OF_AN_OBJECT.values()))
