from .cli import main as main
from .debrief import Debrief as Debrief, assess as assess
