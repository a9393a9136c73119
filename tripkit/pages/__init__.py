"""What is printed or opened in a table: travel sheets, entry sheets, frames.

`travel_sheet` a page for every drive, `season_sheets` one for the season of each lorry, driver and
rider, `travel_files` the files of them, `entry_sheets` a
workbook for the shows' offices, `tables` pandas frames of all of it. Lets in openpyxl and pandas.

Never imports the planner, the page or the server.
"""
