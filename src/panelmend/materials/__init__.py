"""Materials: cloths, resins, adhesives, cores and bagging, each number with its source."""

from panelmend.materials.catalogue import Catalogue as Catalogue
from panelmend.materials.catalogue import builtin as builtin
from panelmend.materials.model import Adhesive as Adhesive
from panelmend.materials.model import Bagging as Bagging
from panelmend.materials.model import Cloth as Cloth
from panelmend.materials.model import Consumable as Consumable
from panelmend.materials.model import Core as Core
from panelmend.materials.model import Material as Material
from panelmend.materials.model import MaterialSet as MaterialSet
from panelmend.materials.model import Resin as Resin
from panelmend.materials.model import Sourced as Sourced
from panelmend.materials.model import Structural as Structural
