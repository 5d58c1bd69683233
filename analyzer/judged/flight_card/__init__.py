"""What to fly next time: one solved plan as a briefing that can be read aloud."""

from analyzer.judged.flight_card.card import FlightCard, card_for_plan
from analyzer.judged.flight_card.leaving import leaving_lines

__all__ = ["FlightCard", "card_for_plan", "leaving_lines"]
