"""Classical lamination: stiffness, hygrothermal loads, ply stresses, failure criteria."""

from panelmend.physics.laminate.failure import Criterion as Criterion
from panelmend.physics.laminate.failure import FirstPly as FirstPly
from panelmend.physics.laminate.failure import first_ply_failure as first_ply_failure
from panelmend.physics.laminate.failure import max_strain as max_strain
from panelmend.physics.laminate.failure import max_stress as max_stress
from panelmend.physics.laminate.failure import reserve_factors as reserve_factors
from panelmend.physics.laminate.failure import tsai_hill as tsai_hill
from panelmend.physics.laminate.failure import tsai_wu as tsai_wu
from panelmend.physics.laminate.lamina import Lamina as Lamina
from panelmend.physics.laminate.lamina import StrainLimits as StrainLimits
from panelmend.physics.laminate.lamina import Strengths as Strengths
from panelmend.physics.laminate.lamina import turned_stiffness as turned_stiffness
from panelmend.physics.laminate.response import Response as Response
from panelmend.physics.laminate.response import response as response
from panelmend.physics.laminate.response import strained as strained
from panelmend.physics.laminate.stack import Laminate as Laminate
from panelmend.physics.laminate.stack import LaminatePly as LaminatePly
from panelmend.physics.laminate.stack import Moduli as Moduli
from panelmend.physics.laminate.stack import effective_moduli as effective_moduli
from panelmend.physics.laminate.stack import hygrothermal_loads as hygrothermal_loads
from panelmend.physics.laminate.stack import invariants as invariants
from panelmend.physics.laminate.stack import laminate as laminate
