"""When can this test answer? A curve for each kit, for a dog or for a day."""
