from .small_files import (
    parsed_toml as parsed_toml,
    read_small_file as read_small_file,
    read_small_text as read_small_text,
)
from .whole_files import (
    PARTIAL_SUFFIX as PARTIAL_SUFFIX,
    file_sha256 as file_sha256,
    json_text as json_text,
    reason as reason,
    whole_file as whole_file,
    write_whole as write_whole,
)
