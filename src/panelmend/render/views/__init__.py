"""Views: the plan's drawings, each from the side the work is done from."""

from panelmend.render.views.bag import bag_plan, bag_section, behind_section
from panelmend.render.views.drying import skins_view, steam_view
from panelmend.render.views.layup import layup_plan, layup_section, void_map
from panelmend.render.views.panel import core_view, cutout_view, far_cutout_view, panel_view
from panelmend.render.views.recipe import recipe_view
from panelmend.render.views.sheet import View
from panelmend.render.views.survey import far_survey_view, survey_view

__all__ = [
    "View",
    "bag_plan",
    "bag_section",
    "behind_section",
    "core_view",
    "cutout_view",
    "far_cutout_view",
    "far_survey_view",
    "layup_plan",
    "layup_section",
    "panel_view",
    "recipe_view",
    "skins_view",
    "steam_view",
    "survey_view",
    "void_map",
]
