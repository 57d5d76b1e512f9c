"""From a cure problem to temperatures, places of thermocouples, advice and likelihood."""
