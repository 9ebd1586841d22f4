"""From numbers to what people read: one sheet that page, insert and API all show."""
