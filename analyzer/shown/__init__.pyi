from .briefing.page import write_briefing as write_briefing
from .chart.draw import write_chart as write_chart
from .handed_on.flight import flight_collection as flight_collection
from .handed_on.kinds import files_handed_on as files_handed_on, plans as plans
from .handed_on.kml import flight_kml as flight_kml
from .report.overview import INDEX_MARK as INDEX_MARK, render_index as render_index
from .report.page import render_lesson as render_lesson, render_page as render_page
from .report.progress import class_html as class_html, progress_html as progress_html
from .report.progress_measures import ProgressFlight as ProgressFlight
from .result.flight_table import flight_table as flight_table
from .result.lesson import lesson_dict as lesson_dict
from .result.lesson_file_types import LESSON_SCHEMA as LESSON_SCHEMA, LessonFile as LessonFile
from .result.result import result_dict as result_dict
from .result.summary import summary_html as summary_html
