"""Views: the plan's drawings, each from the side the work is done from."""

from panelmend.render.views.bag import bag_plan as bag_plan
from panelmend.render.views.bag import bag_section as bag_section
from panelmend.render.views.bag import behind_section as behind_section
from panelmend.render.views.drying import skins_view as skins_view
from panelmend.render.views.drying import steam_view as steam_view
from panelmend.render.views.layup import layup_plan as layup_plan
from panelmend.render.views.layup import layup_section as layup_section
from panelmend.render.views.layup import void_map as void_map
from panelmend.render.views.panel import core_view as core_view
from panelmend.render.views.panel import cutout_view as cutout_view
from panelmend.render.views.panel import far_cutout_view as far_cutout_view
from panelmend.render.views.panel import panel_view as panel_view
from panelmend.render.views.recipe import recipe_view as recipe_view
from panelmend.render.views.sheet import View as View
from panelmend.render.views.survey import far_survey_view as far_survey_view
from panelmend.render.views.survey import survey_view as survey_view
