"""Papers as HTML: one self-contained file each, for the screen, the phone and the printer.

Every paper is a template in ``templates/`` that extends ``base.html``:

    {% extends "base.html" %}
    {% import "pieces.html" as pieces %}
    {% block body %}
    {{ pieces.cautions(cautions) }}
    <figure>{{ drawing }}</figure>
    {% endblock %}

``base.html`` brings the page set-up for A4 and Letter, the fonts, the styles, a content policy that lets
nothing be fetched, the heading (``title``, ``machine``, ``facts``) and the line that says who decides.
``pieces.html`` holds the macros that papers share: cautions, a list of facts, a box to write in.
Everything that is put into a template is escaped; only what `picture` and `inner` give is taken as markup. Class names
of pictures (``lead``, ``part``, ``mark``, ``b``, ``mut`` ...) are theirs alone: papers use longer ones.
"""

from ohmtrail.reports.html.pages import PAPERS, inner, picture, render

__all__ = ["PAPERS", "inner", "picture", "render"]
