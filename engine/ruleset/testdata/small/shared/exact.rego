# METADATA
# title: Exact numbers
# description: Whole numbers in the place of decimals.
# schemas:
#   - input: schema.input
#   - data.limits: schema.limits
#   - data.units: schema.units
#   - data.steps: schema.steps
#   - data.classes: schema.classes
package shared.exact

nano(v) := round(v * 1000000000)
