"""The pages of the desk, one folder each: urls, views, forms, templates, pictures."""
