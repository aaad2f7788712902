"""What can hurt in this work, and who has the last word on it."""

CAUTIONS = {
    "solvents": "Solvents, inks and washes: read the safety data sheet first; ventilate, wear the gloves and goggles it "
    "names, keep flames away, and store rags and waste as the local code says.",
    "lamps": "UV lamps: never look into the light or reach under a lit lamp; keep shields closed, and let the lamp cool.",
    "roller": "Hot roller: keep hands, sleeves and hair out of the nip; know the stop before you start; it stays hot.",
    "blades": "Blades, knives and pad machines: guard them, cut away from the body, lock the machine out to clean it.",
    "lifting": "Lifting screens, film rolls and stacks of blanks: lift with two, or with a trolley.",
}
"""The usual cautions by hazard."""

LAST_WORD = "Local codes, the safety data sheet and licensed practice go before anything said here."

NO_ADVICE = "Costs are for quoting; they are not accounting or tax advice."

HAZARDS = {
    "hand": ("solvents", "lamps", "blades", "lifting"),
    "transfer": ("solvents", "lamps", "roller", "blades", "lifting"),
    "bought": ("solvents", "roller", "blades", "lifting"),
    "over": ("solvents", "lamps", "roller", "blades", "lifting"),
    "pad": ("solvents", "lamps", "blades", "lifting"),
}
"""What each route meets: screens and plates are exposed under UV lamps too."""
