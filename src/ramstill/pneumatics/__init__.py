"""The air inside: a network of volumes and the links between them, and how its pressures move."""

from ramstill._lazy import hand_on

__getattr__, __dir__ = hand_on(
    __name__,
    {
        "Network": "ramstill.pneumatics.network",
        "Schedule": "ramstill.pneumatics.schedule",
        "Solution": "ramstill.pneumatics.integrate",
        "SolverError": "ramstill.pneumatics.integrate",
        "Surroundings": "ramstill.pneumatics.surroundings",
        "Truth": "ramstill.pneumatics.truth",
        "case_exponent": "ramstill.pneumatics.heat",
        "case_time_constant": "ramstill.pneumatics.heat",
        "collision_efficiency": "ramstill.pneumatics.ice",
        "compile_network": "ramstill.pneumatics.compiling",
        "freezing_fraction": "ramstill.pneumatics.ice",
        "frequency_response": "ramstill.pneumatics.frequency_response",
        "full_scale_difference": "ramstill.pneumatics.leak",
        "growth_rate": "ramstill.pneumatics.ice",
        "ice_thickness": "ramstill.pneumatics.ice",
        "integrate": "ramstill.pneumatics.integrate",
        "lag_time_constants": "ramstill.pneumatics.lag",
        "leak_hole_bore": "ramstill.pneumatics.leak",
        "open_share": "ramstill.pneumatics.ice",
        "quasi_steady_limit_hz": "ramstill.pneumatics.quasi_steady",
        "quasi_steady_limits_hz": "ramstill.pneumatics.quasi_steady",
        "settle": "ramstill.pneumatics.equilibrium",
        "share_of_full_scale": "ramstill.pneumatics.leak",
        "solve": "ramstill.pneumatics.integrate",
        "spin_up": "ramstill.pneumatics.integrate",
        "thermal_diffusivity": "ramstill.pneumatics.heat",
        "tube_exponent": "ramstill.pneumatics.heat",
        "tube_response": "ramstill.pneumatics.tube_response",
        "tube_time_constant": "ramstill.pneumatics.heat",
    },
)
