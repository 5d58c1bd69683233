"""Charts of an invented place as somebody types them into the form of the desk."""

#: a chart of an invented place as somebody types it, in the order of the form
TYPED = {
    "title": "VOR 12, Harrow Flats",
    "reversal": "procedure turn",
    "fix.ident": "HRF",
    "fix.latitude": "N46 12.0",
    "fix.longitude": "W101 30.0",
    "fix.elevation_ft": "1900 ft",
    "guidance.kind": "VOR",
    "course.inbound_deg": "118°",
    "course.variation_deg": "7° E",
    "course.turn_side": "right",
    "course.offset_deg": "343",
    "limits.remain_within_nm": "10 NM",
    "limits.outbound_min": "1",
    "altitudes_ft.reversal.rule": "at_or_above",
    "altitudes_ft.reversal.value": "4,600",
    "altitudes_ft.final.value": "2500'",
}
