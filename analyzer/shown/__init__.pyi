from .briefing.page import briefing_of as briefing_of, write_briefing as write_briefing
from .chart.draw import write_chart as write_chart
from .handed_on.flight import flight_collection as flight_collection
from .handed_on.kinds import files_handed_on as files_handed_on, plans as plans
from .handed_on.kml import flight_kml as flight_kml
from .report.drawn.small import draw_thumbnail as draw_thumbnail
from .report.macros import shared_templates as shared_templates
from .report.overview import INDEX_MARK as INDEX_MARK, render_index as render_index
from .report.page import (
    page_script as page_script,
    page_style as page_style,
    render_lesson as render_lesson,
    render_page as render_page,
)
from .report.procedure_drawing import (
    LaidFlight as LaidFlight,
    has_areas_at_hand as has_areas_at_hand,
    procedure_drawing as procedure_drawing,
)
from .report.progress import (
    class_content as class_content,
    class_html as class_html,
    progress_content as progress_content,
    progress_html as progress_html,
)
from .report.progress_measures import ProgressFlight as ProgressFlight
from .result.flight_table import flight_table as flight_table
from .result.lesson import lesson_dict as lesson_dict
from .result.lesson_file_types import LESSON_SCHEMA as LESSON_SCHEMA, LessonFile as LessonFile
from .result.result import result_dict as result_dict
from .result.summary import summary_html as summary_html
