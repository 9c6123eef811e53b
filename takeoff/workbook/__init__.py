"""The workbook: what stands where, how it looks, and the streamed writing of its rows."""
