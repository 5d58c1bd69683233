"""What to fly next time: one solved plan as a briefing that can be read aloud."""

from analyzer.judged.flight_card.card import FlightCard, flight_card

__all__ = ["FlightCard", "flight_card"]
