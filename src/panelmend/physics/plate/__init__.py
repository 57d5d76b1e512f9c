"""Sandwich plate on a rectangular grid: MITC4 with coupling, averaged zones, edge and fastener supports."""

from panelmend.physics.plate.grid import PlateGrid as PlateGrid
from panelmend.physics.plate.grid import PlateSection as PlateSection
from panelmend.physics.plate.grid import Zones as Zones
from panelmend.physics.plate.grid import even_grid as even_grid
from panelmend.physics.plate.grid import zones as zones
from panelmend.physics.plate.loads import CLAMPED as CLAMPED
from panelmend.physics.plate.loads import CLAMPED_IN_BENDING as CLAMPED_IN_BENDING
from panelmend.physics.plate.loads import EdgeLoad as EdgeLoad
from panelmend.physics.plate.loads import PlateLoads as PlateLoads
from panelmend.physics.plate.loads import PointSupport as PointSupport
from panelmend.physics.plate.loads import Support as Support
from panelmend.physics.plate.loads import simple as simple
from panelmend.physics.plate.loads import uniform_edges as uniform_edges
from panelmend.physics.plate.solve import PlateAnswer as PlateAnswer
from panelmend.physics.plate.solve import sample as sample
from panelmend.physics.plate.solve import solve_cases as solve_cases
from panelmend.physics.plate.solve import solve_plate as solve_plate
