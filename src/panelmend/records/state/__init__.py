"""What the log comes to: people, jobs, stores. Folding is the only way in which any of it changes."""

from panelmend.records.state.held import Attempt as Attempt
from panelmend.records.state.held import Batch as Batch
from panelmend.records.state.held import Coupon as Coupon
from panelmend.records.state.held import Deviation as Deviation
from panelmend.records.state.held import Filled as Filled
from panelmend.records.state.held import HeldLot as HeldLot
from panelmend.records.state.held import Job as Job
from panelmend.records.state.held import Kept as Kept
from panelmend.records.state.held import Person as Person
from panelmend.records.state.jobs import entries_covered as entries_covered
from panelmend.records.state.jobs import served_as as served_as
from panelmend.records.state.jobs import standing_work as standing_work
from panelmend.records.state.shelf import JobShelf as JobShelf
from panelmend.records.state.whole import State as State
from panelmend.records.state.whole import batch_key as batch_key
from panelmend.records.state.whole import jobs_of_panel as jobs_of_panel
from panelmend.records.state.whole import lots_of_batch as lots_of_batch
from panelmend.records.state.whole import number_key as number_key
from panelmend.records.state.whole import panel_key as panel_key
